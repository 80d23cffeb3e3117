import { Body, Controller, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators } from '../../platform/security/role';
import { ListPeopleQueryDto, PersonParamsDto } from './dto/person-query.dto';
import { PersonDto, PersonPageDto, PersonWithInvitationDto } from './dto/person.dto';
import { InvitePersonDto, UpdatePersonDto } from './dto/write-person.dto';
import { PeopleService } from './people.service';

@ApiTags('people')
@Controller('v1/people')
export class PeopleController {
  constructor(private readonly people: PeopleService) {}

  /** Lists people who sign in, and those who are invited to. */
  @Get()
  @Allow(administrators, 'manage-access')
  list(@Context() context: RequestContext, @Query() query: ListPeopleQueryDto): Promise<PersonPageDto> {
    return this.people.list(context, query);
  }

  /**
   * Invites somebody. The answer shows the invitation once, to be handed over: nothing is sent. An answer that is repeated
   * for an Idempotency-Key does not show it.
   */
  @Post()
  @Allow(administrators, 'manage-access')
  invite(
    @Context() context: RequestContext,
    @Body() body: InvitePersonDto,
  ): Promise<PersonWithInvitationDto> {
    return this.people.invite(context, body);
  }

  /** Reads what is known of a person. */
  @Get(':personId')
  @Allow(administrators, 'manage-access')
  get(@Context() context: RequestContext, @Param() { personId }: PersonParamsDto): Promise<PersonDto> {
    return this.people.get(context, personId);
  }

  /** Changes what a person may do, or disables or enables them. Nobody does that to themselves. */
  @Patch(':personId')
  @Allow(administrators, 'manage-access')
  update(
    @Context() context: RequestContext,
    @Param() { personId }: PersonParamsDto,
    @IfMatch() revision: number,
    @Body() body: UpdatePersonDto,
  ): Promise<PersonDto> {
    return this.people.update(context, personId, revision, body);
  }

  /** Invites a person anew, to set another password: ends the invitation before, the password and every session. */
  @Post(':personId/invitation')
  @HttpCode(200)
  @Allow(administrators, 'manage-access')
  inviteAnew(
    @Context() context: RequestContext,
    @Param() { personId }: PersonParamsDto,
  ): Promise<PersonWithInvitationDto> {
    return this.people.inviteAnew(context, personId);
  }

  /** Lets a person sign in from anywhere for a quarter of an hour, however many attempts have failed. */
  @Post(':personId/unlock')
  @HttpCode(200)
  @Allow(administrators, 'manage-access')
  unlock(@Context() context: RequestContext, @Param() { personId }: PersonParamsDto): Promise<PersonDto> {
    return this.people.unlock(context, personId);
  }
}
