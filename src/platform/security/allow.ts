import { applyDecorators, SetMetadata } from '@nestjs/common';
import { ApiExtension } from '@nestjs/swagger';
import type { Role } from './role';

export const ALLOWED_ROLES = 'allowed-roles';
export const PUBLIC = 'public';

/** Opens an operation to the given roles. An operation without it (or `Public`) answers nobody. */
export const Allow = (roles: readonly Role[]): MethodDecorator & ClassDecorator =>
  applyDecorators(SetMetadata(ALLOWED_ROLES, roles), ApiExtension('x-allowed-roles', [...roles]));

/** Opens an operation to callers without a key: health and the contract, never data of an organisation. */
export const Public = (): MethodDecorator & ClassDecorator => SetMetadata(PUBLIC, true);
