import { ProblemError, type FieldFault } from '../../../api/problem';

/** Something that the form itself can tell is wrong, before anything is sent. */
export class TypedFault extends Error {
  constructor(
    readonly place: string,
    message: string,
  ) {
    super(message);
    this.name = 'TypedFault';
  }
}

/**
 * Finds what is wrong at, or below, a place of a form; or with a parameter of a search.
 *
 * @param root where the form's fields stand in the body that was sent, such as `rules/3/`
 */
export function faultFinder(error: unknown, root = ''): (place: string) => string | null {
  if (error instanceof TypedFault) return (place) => (place === error.place ? error.message : null);
  const faults = error instanceof ProblemError ? (error.problem.errors ?? []) : [];
  return (place) => {
    const pointer = `#/${root}${place}`;
    const here = faults.filter(
      (fault) =>
        fault.parameter === place ||
        fault.pointer === pointer ||
        fault.pointer?.startsWith(`${pointer}/`) === true,
    );
    return here.length === 0 ? null : here.map(faultText).join(' ');
  };
}

/** Such as `There is no such bay. Name one of the workshop.` */
export function faultText({ detail, remedy }: Pick<FieldFault, 'detail' | 'remedy'>): string {
  return [detail, remedy]
    .filter((text) => text !== '')
    .map((text) => `${text.charAt(0).toUpperCase()}${text.slice(1).replace(/\.$/, '')}.`)
    .join(' ');
}
