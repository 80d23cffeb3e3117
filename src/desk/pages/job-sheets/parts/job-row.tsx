import { useMutation, useQueryClient } from '@tanstack/react-query';
import { Link, useLocation } from 'wouter';
import { answered, api, ifMatch } from '../../../api/client';
import { Button } from '../../../design/button';
import { ProblemNotice } from '../../../design/notice';
import { StateMark, type Tone } from '../../../design/state-mark';
import { countedTitleTexts } from '../../../format/counted-titles';
import { timeText } from '../../../format/days';
import { useHasRole, useReader } from '../../../session/session';
import styles from '../job.module.css';
import { wordsOf } from '../job/step-fields';
import { nextStepOf, type Booking, type Job, type NextStep } from '../todays-jobs';

const STATES: Partial<Record<Booking['state'], { tone: Tone; text: string }>> = {
  confirmed: { tone: 'unknown', text: 'Not here yet' },
  arrived: { tone: 'info', text: 'Here, waiting' },
  'in-work': { tone: 'warn', text: 'In work' },
  finished: { tone: 'good', text: 'Finished' },
};

const ACTIONS: Record<Exclude<NextStep, 'open-sheet' | null>, string> = {
  arrive: 'It has arrived',
  start: 'Start work',
  'make-sheet': 'Make the job sheet',
};

/** One job of the day with the one thing that is next. */
export function JobRow({ job, zone }: { job: Job; zone: string }) {
  const { locale } = useReader();
  const mayMakeSheets = useHasRole('technician', 'front-desk', 'fleet-planner', 'administrator');
  const queries = useQueryClient();
  const [, navigate] = useLocation();
  const { booking, jobSheetId } = job;
  const next = nextStepOf(job);
  const act = useMutation({
    mutationFn: () => done(next, booking),
    onSuccess: async (sheetId) => {
      await queries.invalidateQueries({ queryKey: ['days-jobs'] });
      if (sheetId !== null) navigate(`/job-sheets/${sheetId}`);
    },
    onError: () => queries.invalidateQueries({ queryKey: ['days-jobs'] }),
  });
  const { tone, text } = STATES[booking.state] ?? { tone: 'unknown', text: wordsOf(booking.state) };
  const work = countedTitleTexts([...booking.items, ...booking.extraWork]);
  return (
    <li className={`sheet ${styles.job}`}>
      <div>
        <p className={styles.mark}>{job.registrationMark}</p>
        <p>
          <span className="digits">
            {timeText(booking.startsAt, zone, locale)} to {timeText(booking.endsAt, zone, locale)}
          </span>{' '}
          · {job.bayName} · {job.people.join(', ')}
        </p>
        <p className="soft">{work.join(' · ')}</p>
        <StateMark tone={tone}>{text}</StateMark>
      </div>
      {jobSheetId !== null ? (
        <Link className={styles.tool} href={`/job-sheets/${jobSheetId}`}>
          Open the job sheet<span className="unseen"> of {job.registrationMark}</span>
        </Link>
      ) : null}
      {next !== null && next !== 'open-sheet' && (mayMakeSheets || next !== 'make-sheet') ? (
        <Button
          kind="main"
          busy={act.isPending}
          aria-label={`${ACTIONS[next]}: ${job.registrationMark}`}
          onClick={() => act.mutate()}
        >
          {ACTIONS[next]}
        </Button>
      ) : null}
      <ProblemNotice error={act.error} />
    </li>
  );
}

/** @returns the sheet to go on with; null where there is none yet */
async function done(next: NextStep, booking: Booking): Promise<string | null> {
  const path = { bookingId: booking.id };
  const params = { path, header: ifMatch(booking) };
  if (next === 'arrive') {
    await answered(api.POST('/v1/bookings/{bookingId}/arrival', { params, body: {} }));
    return null;
  }
  if (next === 'start') await answered(api.POST('/v1/bookings/{bookingId}/work-start', { params, body: {} }));
  const { items } = await answered(
    api.GET('/v1/job-sheets', { params: { query: { bookingId: booking.id, limit: 1 } } }),
  );
  const sheet =
    items[0] ?? (await answered(api.POST('/v1/bookings/{bookingId}/job-sheet', { params: { path } })));
  return sheet.id;
}
