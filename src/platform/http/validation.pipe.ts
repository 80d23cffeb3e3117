import { ValidationPipe, type ValidationError } from '@nestjs/common';
import { CodedError, type FieldError } from '../errors/coded-error';
import { fieldPointer } from './field-pointer';

/**
 * Checks every body, query and path parameter against its class, names all faulty fields at once, and
 * refuses fields that the contract does not know instead of dropping them.
 */
export function createValidationPipe(): ValidationPipe {
  return new ValidationPipe({
    transform: true,
    whitelist: true,
    forbidNonWhitelisted: true,
    forbidUnknownValues: true,
    // the class of the faulty object tells a parameter from a member of the body
    validationError: { target: true },
    exceptionFactory: (errors) => new CodedError('validation-failed', summary(errors), fieldErrors(errors)),
  });
}

function summary(errors: ValidationError[]): string {
  const names = fieldErrors(errors).map(({ pointer, parameter }) => parameter ?? pointer ?? '');
  return names.length === 1
    ? `${names[0] ?? ''} is not acceptable.`
    : `${names.length} fields are not acceptable.`;
}

/** Every fault of a checked object as field errors, pointers from its root. */
export function fieldErrors(errors: ValidationError[], path: readonly string[] = []): FieldError[] {
  return errors.flatMap((error) => {
    const at = [...path, error.property];
    const own = Object.entries(error.constraints ?? {}).map(([rule, message]): FieldError => {
      const unknown = rule === 'whitelistValidation';
      return {
        ...where(error, fieldPointer(at)),
        detail: unknown ? `"${error.property}" is not a field of this request` : message,
        remedy: unknown ? 'leave it out, or check its spelling' : remedyOf(message),
      };
    });
    return [...own, ...fieldErrors(error.children ?? [], at)];
  });
}

// Parameters of the query and the path are marked by their class (`…QueryDto`, `…ParamsDto`).
function where(error: ValidationError, pointer: string): Pick<FieldError, 'pointer' | 'parameter'> {
  const owner = error.target?.constructor.name ?? '';
  return /(Query|Params)Dto$/.test(owner) ? { parameter: error.property } : { pointer };
}

// class-validator words its messages as what must be true; that is what to send.
function remedyOf(message: string): string {
  return `send a value that satisfies: ${message}`;
}
