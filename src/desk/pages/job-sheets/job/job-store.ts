import type { Schemas } from '../../../api/client';
import { NotReached, ProblemError } from '../../../api/problem';
import { entryFaults, type EntryFault } from './field-fault';
import {
  afterStored,
  changesOf,
  completionOf,
  decided,
  hasUnsent,
  newJob,
  rebased,
  withFields,
  type Attempt,
  type Conflict,
  type EntryField,
  type EntryValue,
  type Found,
  type KeptJob,
  type Part,
  type Sheet,
  type SheetChanges,
} from './kept-job';
import type { JobPlace } from './job-place';
import type { Stopwatch } from './stopwatch';

export type CompletedJob = Schemas['CompletedJobDto'];

/** What the store needs of the world around it. */
export interface JobPorts {
  read(): Promise<Sheet>;
  /** @throws ProblemError, NotReached */
  store(revision: number, changes: SheetChanges): Promise<Sheet>;
  /** Sends a signed-off job; the same attempt again is answered as before. */
  complete(attempt: Attempt): Promise<CompletedJob>;
  keep(job: KeptJob, unsent: boolean): void;
  forget(): void;
  /** @returns what calls it off */
  later(milliseconds: number, action: () => void): () => void;
  newKey(): string;
}

/** Where what was entered is. */
export type Link = 'stored' | 'sending' | 'not-sent' | 'refused';

export interface JobState {
  job: KeptJob;
  link: Link;
  /** why something was refused as a whole */
  error: unknown;
  faults: EntryFault[];
  /** the answer to the sign-off, once it is there */
  completed: CompletedJob | null;
}

const PAUSE_OF_TYPING_MS = 1_200;
const NEXT_ATTEMPT_MS = 15_000;

/**
 * One job on this device. What is entered is kept at once, stored with the service as soon as there is a pause, and kept
 * until it is there. One request at a time; what somebody else stored meanwhile is merged.
 */
export class JobStore {
  private state: JobState;
  private readonly listeners = new Set<() => void>();
  private isBusy = false;
  /** begun from what the device holds, without having asked the service */
  private isStale: boolean;
  private callOff: () => void = () => undefined;

  /** @param kept what this device still holds of the job */
  constructor(
    private readonly ports: JobPorts,
    kept: KeptJob | null,
    fresh: Sheet | null,
  ) {
    const known = kept ?? (fresh === null ? null : newJob(fresh));
    if (known === null) throw new Error('a job without a sheet');
    this.isStale = fresh === null;
    const job = fresh === null || kept === null ? known : rebased(kept, fresh);
    this.state = { job, link: 'stored', error: null, faults: [], completed: null };
    if (fresh !== null && fresh.state === 'completed' && kept?.attempt == null) this.ports.forget();
    else if (hasUnsent(job)) this.set({ job, link: 'not-sent' });
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  readonly snapshot = (): JobState => this.state;

  edit(stepKey: string, fields: Partial<Record<EntryField, EntryValue>>): void {
    const names = Object.keys(fields);
    const faults = this.state.faults.filter(
      (fault) => fault.stepKey !== stepKey || (fault.field !== null && !names.includes(fault.field)),
    );
    this.entered(withFields(this.state.job, stepKey, fields), faults);
  }

  editParts(partsUsed: Part[]): void {
    this.enteredList({ partsUsed });
  }

  editFound(workFound: Found[]): void {
    this.enteredList({ workFound });
  }

  time(stepKey: string, stopwatch: Stopwatch, fields: Partial<Record<EntryField, EntryValue>>): void {
    const { job } = this.state;
    this.set({ job: { ...job, stopwatches: { ...job.stopwatches, [stepKey]: stopwatch } } });
    this.edit(stepKey, fields);
  }

  place(place: JobPlace): void {
    this.set({ job: { ...this.state.job, place } });
  }

  decide(conflict: Conflict, keepMine: boolean): void {
    this.entered(decided(this.state.job, conflict, keepMine), this.state.faults);
  }

  /** Signs the job off. From now on it is sent until it is answered, and stays as it is. */
  signOff(signedOffBy: string, holdBecause: string | null): void {
    const { job } = this.state;
    const body = completionOf(job, signedOffBy, holdBecause);
    const attempt = { key: this.ports.newKey(), revision: job.sheet.revision, body };
    this.set({ job: { ...job, attempt }, faults: [], error: null, link: 'sending' });
    void this.send();
  }

  /** Sends what is here, now. */
  async send(): Promise<void> {
    this.callOff();
    if (this.isBusy) return;
    this.isBusy = true;
    try {
      const { attempt } = this.state.job;
      if (attempt !== null) await this.sendCompletion(attempt);
      else await this.sendChanges();
    } catch (error) {
      this.failed(error);
    } finally {
      this.isBusy = false;
    }
  }

  /** Stops sending; what is here stays on the device. */
  close(): void {
    this.callOff();
  }

  private async sendChanges(): Promise<void> {
    const { job } = this.state;
    const changes = changesOf(job, (stepKey, field) => this.isRefused(stepKey, field));
    if (changes === null) {
      if (this.isStale) await this.merge();
      this.set({ link: hasUnsent(this.state.job) ? 'refused' : 'stored' });
      return;
    }
    this.set({ link: 'sending' });
    let answer: Sheet;
    try {
      answer = await this.ports.store(job.sheet.revision, changes);
    } catch (error) {
      if (isRefusal(error, 412)) await this.merge();
      else if (isRefusal(error, 422))
        this.refused(entryFaults(error.problem.errors ?? [], changes, job.sheet), error);
      else throw error;
      return;
    }
    const next = afterStored(this.state.job, changes, answer);
    this.set({ job: next, link: hasUnsent(next) ? 'sending' : 'stored' });
    if (hasUnsent(next)) this.soon(0);
  }

  private async sendCompletion(attempt: Attempt): Promise<void> {
    this.set({ link: 'sending' });
    const { job } = this.state;
    try {
      const completed = await this.ports.complete(attempt);
      const edits = { entries: {}, partsUsed: null, workFound: null };
      this.set({ job: { ...job, attempt: null, edits }, completed, link: 'stored', error: null });
      this.ports.forget();
      this.set({ job: { ...this.state.job, sheet: await this.ports.read() } }, false);
    } catch (error) {
      if (!(error instanceof ProblemError) || isPassing(error)) throw error;
      // it was not done: the sheet is open for corrections again
      this.set({ job: { ...this.state.job, attempt: null } });
      if (error.status === 412) await this.merge();
      const faults = entryFaults(error.problem.errors ?? [], attempt.body, job.sheet);
      this.set({ link: 'refused', faults, error });
      if (hasUnsent(this.state.job)) this.soon(0);
    }
  }

  private async merge(): Promise<void> {
    const job = rebased(this.state.job, await this.ports.read());
    this.isStale = false;
    this.set({ job });
    if (hasUnsent(job)) this.soon(0);
  }

  private refused(faults: EntryFault[], error: unknown): void {
    const isAtFields = faults.some(({ stepKey, field }) => stepKey !== null && field !== null);
    this.set({ faults, error: isAtFields ? null : error, link: 'refused' });
    // the rest of it can be stored
    if (isAtFields) this.soon(0);
  }

  private isRefused(stepKey: string, field: EntryField): boolean {
    return this.state.faults.some((fault) => fault.stepKey === stepKey && fault.field === field);
  }

  private failed(error: unknown): void {
    if (error instanceof NotReached || isPassing(error)) {
      this.set({ link: hasUnsent(this.state.job) ? 'not-sent' : 'stored' });
      this.soon(NEXT_ATTEMPT_MS);
    } else {
      this.set({ link: 'refused', error });
    }
  }

  private entered(job: KeptJob, faults: EntryFault[]): void {
    this.set({ job, faults, link: hasUnsent(job) ? 'sending' : 'stored', error: null });
    this.soon(PAUSE_OF_TYPING_MS);
  }

  private enteredList(lists: Partial<Pick<KeptJob['edits'], 'partsUsed' | 'workFound'>>): void {
    const { job, faults } = this.state;
    this.entered({ ...job, edits: { ...job.edits, ...lists } }, faults);
  }

  private soon(milliseconds: number): void {
    this.callOff();
    this.callOff = this.ports.later(milliseconds, () => void this.send());
  }

  private set(change: Partial<JobState>, keep = true): void {
    this.state = { ...this.state, ...change };
    const { job } = change;
    if (keep && job !== undefined) {
      const isUnsent = hasUnsent(job);
      // of a completed job the service has everything
      if (isUnsent || job.sheet.state === 'open') this.ports.keep(job, isUnsent);
      else this.ports.forget();
    }
    for (const listener of this.listeners) listener();
  }
}

function isRefusal(error: unknown, status: number): error is ProblemError {
  return error instanceof ProblemError && error.status === status;
}

/** A refusal that says nothing of what was sent: out of order, too busy, or nobody is signed in any more. */
function isPassing(error: unknown): boolean {
  return (
    error instanceof ProblemError && (error.status >= 500 || error.status === 429 || error.status === 401)
  );
}
