import type { components } from '../generated/contract';

export type Problem = components['schemas']['Problem'];
export type FieldFault = NonNullable<Problem['errors']>[number];

/** A request that was refused, or never arrived. */
export class ProblemError extends Error {
  constructor(
    readonly status: number,
    readonly problem: Problem,
  ) {
    super(problem.detail);
    this.name = 'ProblemError';
  }

  /** The last part of the kind's address, such as `slot-taken`. */
  get kind(): string {
    return this.problem.type.split('/').at(-1) ?? '';
  }

  /** What is wrong with one field of the body, by its JSON pointer, such as `#/registrationMark`. */
  at(pointer: string): FieldFault | undefined {
    return this.problem.errors?.find((each) => 'pointer' in each && each.pointer === pointer);
  }
}

/** The request may or may not have arrived: safe to repeat with the same Idempotency-Key. */
export class NotReached extends Error {
  constructor(cause: unknown) {
    super('The service does not answer. Nothing that you entered is lost.', { cause });
    this.name = 'NotReached';
  }
}

/** What a refusal says is wrong with one field of the body; nothing where it says nothing of it. @param pointer JSON pointer */
export function faultDetail(error: unknown, pointer: string): string | undefined {
  return error instanceof ProblemError ? error.at(pointer)?.detail : undefined;
}

/** A fault as it stands below its field: what is wrong, and what to do about it. */
export function faultText(fault: FieldFault | undefined): string | null {
  if (fault === undefined) return null;
  const sentence = (text: string): string => text.replace(/\.*$/, '');
  return `${sentence(fault.detail)}: ${sentence(fault.remedy)}.`;
}
