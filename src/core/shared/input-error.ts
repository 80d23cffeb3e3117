/**
 * Bad data handed to a calculation: the caller can mend it. The shell turns it into a problem response.
 *
 * `field` names the argument (dotted path), `remedy` says what would be accepted.
 * An impossible state inside the core is not an InputError; see `assert.ts`.
 */
export class InputError extends Error {
  constructor(
    readonly field: string,
    message: string,
    readonly remedy: string,
  ) {
    super(message);
    this.name = 'InputError';
  }
}
