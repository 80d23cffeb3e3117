import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { OAuthClient } from './oauth-client.entity';
import { OAuthClientsController } from './oauth-clients.controller';
import { OAuthClientsRepository } from './oauth-clients.repository';
import { OAuthClientsService } from './oauth-clients.service';
import { OAuthTokensController } from './oauth-tokens.controller';
import { OAuthTokensService } from './oauth-tokens.service';

@Module({
  imports: [TypeOrmModule.forFeature([OAuthClient])],
  controllers: [OAuthClientsController, OAuthTokensController],
  providers: [OAuthClientsService, OAuthTokensService, OAuthClientsRepository],
})
export class OAuthClientsModule {}
