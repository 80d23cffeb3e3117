import { localDateAt } from '../../core/shared/calendar-date';
import type { Technician } from '../workshops/technician.entity';
import type { WholeWorkshop } from '../workshops/workshop-diaries.service';
import { notAtThisWorkshop, notCompetent } from './job-sheets.errors';

/**
 * The technician who answers for a job: somebody who works there and has, on the day on which the work ended, every
 * competence that the sheet and the workshop ask for.
 *
 * @throws CodedError naming what is missing, and who has it
 */
export function signerOf(
  { workshop, technicians }: WholeWorkshop,
  signOffCompetences: readonly string[],
  technicianId: string,
  finishedAt: Date,
): Technician {
  const on = localDateAt(finishedAt.getTime(), workshop.zone);
  const present = technicians.filter(({ retiredOn }) => retiredOn === null || retiredOn > on);
  const signer = present.find(({ id }) => id === technicianId);
  if (signer === undefined) throw notAtThisWorkshop(technicianId);
  const ofWorkshop = workshop.signOffCompetence === null ? [] : [workshop.signOffCompetence];
  const asked = [...new Set([...signOffCompetences, ...ofWorkshop])];
  const lacking = ({ competences }: Technician): string[] =>
    asked.filter(
      (code) => !competences.some((one) => one.code === code && (one.lastOn === null || one.lastOn >= on)),
    );
  const missing = lacking(signer);
  if (missing.length === 0) return signer;
  const others = present.filter((one) => lacking(one).length === 0);
  throw notCompetent(
    signer.name,
    missing,
    others.map(({ name }) => name),
  );
}
