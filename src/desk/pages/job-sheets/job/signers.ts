import type { JobPlace, Technician } from './job-place';

export interface Signer {
  technician: Technician;
  /** competences that are asked for and that they do not have on that day */
  lacks: string[];
}

/**
 * Everybody of the workshop who could answer for the job, those first who may.
 *
 * @param on the day, at the workshop
 */
export function signersOf(
  { technicians, signOffCompetence }: Pick<JobPlace, 'technicians' | 'signOffCompetence'>,
  signOffCompetences: readonly string[],
  on: string,
): Signer[] {
  const asked = askedOf(signOffCompetence, signOffCompetences);
  return technicians
    .filter(({ retiredOn }) => retiredOn === null || retiredOn > on)
    .map((technician) => ({
      technician,
      lacks: asked.filter(
        (code) =>
          !technician.competences.some(
            (one) => one.code === code && (one.lastOn === null || one.lastOn >= on),
          ),
      ),
    }))
    .sort((a, b) => a.lacks.length - b.lacks.length || a.technician.name.localeCompare(b.technician.name));
}

/** What whoever signs off has to have: what the job asks for, and what the workshop always does. */
export function askedOf(ofWorkshop: string | null, ofSheet: readonly string[]): string[] {
  return [...new Set([...ofSheet, ...(ofWorkshop === null ? [] : [ofWorkshop])])].sort();
}
