import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { WorkshopsModule } from '../workshops/workshops.module';
import { InvitationAcceptancesService } from './invitation-acceptances.service';
import { KnownNetwork } from './known-network.entity';
import { PeopleController } from './people.controller';
import { PeopleRepository } from './people.repository';
import { PeopleService } from './people.service';
import { PersonSession } from './person-session.entity';
import { Person } from './person.entity';
import { SessionController } from './session.controller';
import { SessionsRepository } from './sessions.repository';
import { SessionsService } from './sessions.service';
import { SignInService } from './sign-in.service';
import { SignInsController } from './sign-ins.controller';

@Module({
  imports: [TypeOrmModule.forFeature([Person, PersonSession, KnownNetwork]), WorkshopsModule],
  controllers: [PeopleController, SessionController, SignInsController],
  providers: [
    PeopleService,
    SessionsService,
    SignInService,
    InvitationAcceptancesService,
    PeopleRepository,
    SessionsRepository,
  ],
})
export class PeopleModule {}
