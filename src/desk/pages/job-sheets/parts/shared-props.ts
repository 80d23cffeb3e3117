import type { JudgedBy } from '../job/judge-step';
import type { JobState, JobStore } from '../job/job-store';

/** What every part of a job's page is given. */
export interface JobPartProps {
  store: JobStore;
  state: JobState;
  by: JudgedBy;
  /** it can still be filled in */
  isOpen: boolean;
}
