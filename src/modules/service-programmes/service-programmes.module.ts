import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { ServiceProgramme } from './service-programme.entity';
import { ServiceProgrammeVersion } from './service-programme-version.entity';

@Module({ imports: [TypeOrmModule.forFeature([ServiceProgramme, ServiceProgrammeVersion])] })
export class ServiceProgrammesModule {}
