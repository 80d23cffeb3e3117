import { Body, Controller, Header, Post, Req, Res } from '@nestjs/common';
import {
  ApiConflictResponse,
  ApiCreatedResponse,
  ApiExtension,
  ApiForbiddenResponse,
  ApiTags,
  ApiUnauthorizedResponse,
  ApiUnprocessableEntityResponse,
} from '@nestjs/swagger';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { Public } from '../../platform/security/allow';
import { AcceptInvitationDto, SignInDto } from './dto/sign-in.dto';
import { SessionDto } from './dto/session.dto';
import { InvitationAcceptancesService } from './invitation-acceptances.service';
import { SignInService } from './sign-in.service';

const SET_COOKIE = {
  'Set-Cookie': {
    description: 'The session, for the browser to keep.',
    required: true,
    schema: { type: 'string' as const, maxLength: 300 },
  },
};

@ApiTags('signing in')
@Public()
@ApiUnauthorizedResponse()
@ApiForbiddenResponse()
@ApiUnprocessableEntityResponse()
@ApiExtension('x-ignores-idempotency-key', true)
@Controller('v1')
export class SignInsController {
  constructor(
    private readonly signIns: SignInService,
    private readonly acceptances: InvitationAcceptancesService,
  ) {}

  /**
   * Signs a person in. Whatever is wrong is answered alike. Where address and password fit several organisations, the
   * refusal lists them, and the person signs in again to one of them.
   */
  @Post('sessions')
  @Header('Cache-Control', 'no-store')
  @ApiConflictResponse()
  @ApiCreatedResponse({ type: SessionDto, headers: SET_COOKIE })
  signIn(
    @Body() body: SignInDto,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SessionDto> {
    return this.signIns.signIn(body, request, reply);
  }

  /** Accepts an invitation: sets the password of the person, and signs them in. */
  @Post('invitation-acceptances')
  @Header('Cache-Control', 'no-store')
  @ApiCreatedResponse({ type: SessionDto, headers: SET_COOKIE })
  accept(
    @Body() body: AcceptInvitationDto,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SessionDto> {
    return this.acceptances.accept(body, request, reply);
  }
}
