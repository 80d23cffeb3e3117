import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { PrechargeModelRecord } from './precharge-model-record.entity';
import { PrechargeModelsController } from './precharge-models.controller';
import { PrechargeModelsRepository } from './precharge-models.repository';
import { PrechargeModelsService } from './precharge-models.service';

@Module({
  imports: [TypeOrmModule.forFeature([PrechargeModelRecord]), DueItemsModule],
  controllers: [PrechargeModelsController],
  providers: [PrechargeModelsService, PrechargeModelsRepository],
  exports: [PrechargeModelsService],
})
export class PrechargeModelsModule {}
