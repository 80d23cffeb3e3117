import { applyDecorators } from '@nestjs/common';
import { ApiProperty } from '@nestjs/swagger';
import { IsString, Matches } from 'class-validator';

/** Codes of duty classes and tasks: lower case words joined by hyphens. */
export const IsCode = (): PropertyDecorator =>
  applyDecorators(
    IsString(),
    Matches(/^[a-z0-9]+(-[a-z0-9]+)*$/, {
      message: '$property must be lower case words joined by hyphens, such as urban-stop-start',
    }),
    Matches(/^.{1,60}$/, { message: '$property must have at most 60 characters' }),
    ApiProperty({ pattern: '^[a-z0-9]+(-[a-z0-9]+)*$', maxLength: 60 }),
  );
