import { jobOf, sumConsumables } from '../../core/visit/job-of';
import type { Job } from '../../core/working-time/workshop';
import type { BookedWork } from './booked-work';
import type { VisitJobDto } from './dto/free-times.dto';

/** @param workMinutes in place of the sum of the work, where somebody knows better */
export function jobOfWork({ items, extra }: BookedWork, workMinutes: number | null): Job {
  return jobOf([...items, ...extra], workMinutes);
}

/** The same for people, with what the work uses up. */
export function visitJobOf(work: BookedWork, workMinutes: number | null): VisitJobDto {
  const { minutes, bayKinds, needed } = jobOfWork(work, workMinutes);
  return {
    workMinutes: minutes,
    bayKinds,
    competences: needed.map(({ competences }) => competences),
    consumables: sumConsumables(work.items.flatMap(({ consumables }) => consumables)),
  };
}
