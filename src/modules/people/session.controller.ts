import { Body, Controller, Delete, Get, Header, HttpCode, Patch, Post, Req, Res } from '@nestjs/common';
import { ApiExtension, ApiTags } from '@nestjs/swagger';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { SessionOnly } from '../../platform/security/allow';
import { WritePreferencesDto } from './dto/preferences.dto';
import { SessionDto } from './dto/session.dto';
import { ChangePasswordDto } from './dto/sign-in.dto';
import { SessionsService } from './sessions.service';

@ApiTags('signing in')
@SessionOnly()
@Controller('v1/session')
export class SessionController {
  constructor(private readonly sessions: SessionsService) {}

  /** Tells who has signed in, and what they may do. */
  @Get()
  @Header('Cache-Control', 'no-store')
  get(@Context() context: RequestContext): Promise<SessionDto> {
    return this.sessions.get(context);
  }

  /** Changes the language and the units that the person reads. */
  @Patch('preferences')
  @Header('Cache-Control', 'no-store')
  changePreferences(
    @Context() context: RequestContext,
    @Body() body: WritePreferencesDto,
  ): Promise<SessionDto> {
    return this.sessions.changePreferences(context, body);
  }

  /** Changes the person's own password, and ends their other sessions. */
  @Post('password')
  @HttpCode(200)
  @Header('Cache-Control', 'no-store')
  @ApiExtension('x-ignores-idempotency-key', true)
  changePassword(
    @Context() context: RequestContext,
    @Body() body: ChangePasswordDto,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SessionDto> {
    return this.sessions.changePassword(context, body, request, reply);
  }

  /** Signs out: the session ends, and the cookie with it. */
  @Delete()
  @HttpCode(204)
  end(@Context() context: RequestContext, @Res({ passthrough: true }) reply: FastifyReply): Promise<void> {
    return this.sessions.end(context, reply);
  }
}
