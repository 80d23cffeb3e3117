import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators } from '../../platform/security/role';
import { ApiKeysService } from './api-keys.service';
import { ApiKeyParamsDto, ListApiKeysQueryDto } from './dto/api-key-query.dto';
import { ApiKeyDto, ApiKeyPageDto, NewApiKeyDto, RotatedApiKeyDto } from './dto/api-key.dto';
import { CreateApiKeyDto, RotateApiKeyDto } from './dto/write-api-key.dto';

@ApiTags('api keys')
@Controller('v1/api-keys')
export class ApiKeysController {
  constructor(private readonly keys: ApiKeysService) {}

  /** Lists keys, never their secrets. */
  @Get()
  @Allow(administrators, 'manage-access')
  list(@Context() context: RequestContext, @Query() query: ListApiKeysQueryDto): Promise<ApiKeyPageDto> {
    return this.keys.list(context, query);
  }

  /** Makes a key. The answer shows it once; an answer that is repeated for an Idempotency-Key does not. */
  @Post()
  @Allow(administrators, 'manage-access')
  create(@Context() context: RequestContext, @Body() body: CreateApiKeyDto): Promise<NewApiKeyDto> {
    return this.keys.create(context, body);
  }

  /** Reads what is known of a key. */
  @Get(':keyId')
  @Allow(administrators, 'manage-access')
  get(@Context() context: RequestContext, @Param() { keyId }: ApiKeyParamsDto): Promise<ApiKeyDto> {
    return this.keys.get(context, keyId);
  }

  /** Revokes a key at once. Its record stays. */
  @Delete(':keyId')
  @Allow(administrators, 'manage-access')
  revoke(
    @Context() context: RequestContext,
    @Param() { keyId }: ApiKeyParamsDto,
    @IfMatch() revision: number,
  ): Promise<ApiKeyDto> {
    return this.keys.revoke(context, keyId, revision);
  }

  /** Makes a new key with the same rights and expiry; the old one is accepted until the overlap ends. */
  @Post(':keyId/rotate')
  @HttpCode(200)
  @Allow(administrators, 'manage-access')
  rotate(
    @Context() context: RequestContext,
    @Param() { keyId }: ApiKeyParamsDto,
    @Body() body: RotateApiKeyDto,
  ): Promise<RotatedApiKeyDto> {
    return this.keys.rotate(context, keyId, body);
  }
}
