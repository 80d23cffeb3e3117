import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'wouter';
import { answered, api, everyItem } from '../../api/client';
import { SelectField, TextField } from '../../design/field';
import { ProblemNotice } from '../../design/notice';
import { Page, Waiting } from '../../design/page';
import { dayText, todayOn } from '../../format/days';
import { useReader } from '../../session/session';
import { JobRow } from './parts/job-row';
import { readDaysJobs } from './read-days-jobs';
import styles from './job.module.css';

const KEPT = 'precharge-workshop';

/** Today's work of a workshop: one's own first, each with what is next. */
export default function JobSheetsPage() {
  const { locale, session } = useReader();
  const { technicianId } = session.person;
  const { data: workshops, error } = useQuery({
    queryKey: ['workshops'],
    queryFn: () =>
      everyItem((cursor) =>
        answered(api.GET('/v1/workshops', { params: { query: { cursor, limit: 500 } } })),
      ),
  });
  const [workshopId, setWorkshopId] = useState(() => localStorage.getItem(KEPT) ?? '');
  const [day, setDay] = useState<string | null>(null);
  const open = (workshops ?? []).filter(({ retiredOn }) => retiredOn === null);
  const workshop = open.find(({ id }) => id === workshopId) ?? open[0];
  const on = day ?? todayOn(workshop?.zone ?? 'utc');
  const jobs = useQuery({
    queryKey: ['days-jobs', workshop?.id, on, technicianId],
    queryFn: () => (workshop === undefined ? [] : readDaysJobs(workshop, on, technicianId)),
    enabled: workshop !== undefined && on !== '',
  });
  const mine = (jobs.data ?? []).filter(({ isMine }) => isMine);
  const others = (jobs.data ?? []).filter(({ isMine }) => !isMine);
  return (
    <Page
      title="Job sheets"
      lead={workshop === undefined || on === '' ? undefined : `${workshop.name}, ${dayText(on, locale)}`}
    >
      <div className="row screen-only">
        {open.length > 1 ? (
          <SelectField
            label="Workshop"
            value={workshop?.id ?? ''}
            onChange={({ target }) => {
              localStorage.setItem(KEPT, target.value);
              setWorkshopId(target.value);
            }}
          >
            {open.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </SelectField>
        ) : null}
        <TextField label="Day" type="date" value={on} onChange={({ target }) => setDay(target.value)} />
      </div>
      <ProblemNotice error={error ?? jobs.error} />
      {workshops !== undefined && workshop === undefined ? (
        <p>There is no workshop yet. An administrator sets one up.</p>
      ) : null}
      {jobs.isPending && workshop !== undefined ? <Waiting what="the jobs of the day" /> : null}
      {[
        { title: 'My jobs', list: mine },
        { title: mine.length > 0 ? 'Other jobs' : 'Jobs', list: others },
      ].map(({ title, list }) =>
        list.length === 0 || workshop === undefined ? null : (
          <section key={title} className="stack" aria-label={title}>
            <h2>{title}</h2>
            <ul className={styles.jobs}>
              {list.map((job) => (
                <JobRow key={job.booking.id} job={job} zone={workshop.zone} />
              ))}
            </ul>
          </section>
        ),
      )}
      {jobs.data?.length === 0 ? (
        <p className="soft">
          Nothing is booked here on this day. <Link href="/diary">To the diary</Link>
        </p>
      ) : null}
    </Page>
  );
}
