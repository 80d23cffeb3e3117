import { applyDecorators, SetMetadata } from '@nestjs/common';
import { ApiExtension } from '@nestjs/swagger';

export const NOT_EXPORTED = 'x-not-exported';

/**
 * Every list is given whole as CSV and NDJSON too, unless it says why not.
 *
 * @param reason a sentence for whoever asks for it all the same
 */
export const NotExported = (reason: string): MethodDecorator =>
  applyDecorators(SetMetadata(NOT_EXPORTED, reason), ApiExtension(NOT_EXPORTED, reason));
