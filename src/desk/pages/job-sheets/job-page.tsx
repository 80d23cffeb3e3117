import { useQuery } from '@tanstack/react-query';
import { useEffect, useRef, useState, useSyncExternalStore, type RefObject } from 'react';
import { newKey } from '../../api/client';
import { Button } from '../../design/button';
import { ProblemNotice } from '../../design/notice';
import { Page } from '../../design/page';
import { timeText, todayOn } from '../../format/days';
import type { KeptOnDevice } from '../../session/kept-on-device';
import { useReader } from '../../session/session';
import type { JudgedBy } from './job/judge-step';
import { JobStore } from './job/job-store';
import type { Attempt, KeptJob, Sheet } from './job/kept-job';
import { readPlace, requestsOf } from './job/read-job';
import { BeforeYouBegin } from './parts/before-you-begin';
import { Decision } from './parts/decision';
import { FoundWork } from './parts/found-work';
import { JobBar } from './parts/job-bar';
import { PartsUsed } from './parts/parts-used';
import { SignOff } from './parts/sign-off';
import { StepCard } from './parts/step-card';
import { StrayEntries } from './parts/stray-entries';
import styles from './job.module.css';

interface JobPageProps {
  jobSheetId: string;
  device: KeptOnDevice;
  /** what the device calls it */
  what: string;
  /** null without a connection */
  fresh: Sheet | null;
}

export function JobPage({ jobSheetId, device, what, fresh }: JobPageProps) {
  const { locale } = useReader();
  const [store] = useState(() => openStore(jobSheetId, device, what, fresh));
  const state = useSyncExternalStore(store.subscribe, store.snapshot);
  useEffect(() => {
    const send = (): void => void store.send();
    send();
    window.addEventListener('online', send);
    return () => {
      window.removeEventListener('online', send);
      store.close();
    };
  }, [store]);
  const { sheet, place, attempt } = state.job;
  const refusal = useFocusOnRefusal(attempt, state.error);
  const { data: placeNow } = useQuery({
    queryKey: ['job-place', jobSheetId],
    queryFn: () => readPlace(sheet),
    staleTime: Infinity,
  });
  useEffect(() => {
    if (placeNow !== undefined) store.place(placeNow);
  }, [store, placeNow]);

  const isOpen = sheet.state === 'open' && attempt === null && state.completed === null;
  const by: JudgedBy = {
    mainAccumulator: sheet.mainAccumulator,
    gauges: place?.gauges ?? [],
    today: todayOn(place?.zone ?? 'utc'),
  };
  const shared = { store, state, by, isOpen };
  return (
    <Page
      title={place === null ? 'Job sheet' : `Job sheet ${place.registrationMark}`}
      lead={
        place === null
          ? undefined
          : [
              place.fleetNumber,
              place.workshopName,
              place.bayName,
              `${timeText(place.startsAt, place.zone, locale)} to ${timeText(place.endsAt, place.zone, locale)}`,
            ]
              .filter((each) => each !== null && each !== '')
              .join(' · ')
      }
      tools={
        <>
          <a
            className={styles.tool}
            href={`/v1/job-sheets/${jobSheetId}/print`}
            target="_blank"
            rel="noreferrer"
          >
            Paper sheet to write on
          </a>
          <Button onClick={() => window.print()}>Print</Button>
        </>
      }
    >
      <JobBar {...shared} />
      <Decision {...shared} />
      <div ref={refusal} tabIndex={-1} className={styles.refusal}>
        <ProblemNotice error={state.error} />
      </div>
      <BeforeYouBegin sheet={sheet} note={place?.note ?? null} />
      <StrayEntries job={state.job} />
      <section className="stack" aria-labelledby="steps">
        <h2 id="steps">Steps</h2>
        <ol className={styles.steps}>
          {sheet.steps.map((step, index) => (
            <StepCard key={step.key} {...shared} step={step} number={index + 1} />
          ))}
        </ol>
      </section>
      <div className="columns">
        <PartsUsed {...shared} />
        <FoundWork {...shared} />
      </div>
      {sheet.state === 'open' && state.completed === null ? <SignOff {...shared} /> : null}
    </Page>
  );
}

/**
 * Whoever signed off stands at the end of the page, and what was refused may stand anywhere: the focus goes there, to the
 * first field that is wrong, or to the notice that says why.
 */
function useFocusOnRefusal(attempt: Attempt | null, error: unknown): RefObject<HTMLDivElement | null> {
  const notice = useRef<HTMLDivElement>(null);
  const wasSignedOff = useRef(false);
  useEffect(() => {
    if (attempt !== null) {
      wasSignedOff.current = true;
    } else if (wasSignedOff.current && error !== null) {
      wasSignedOff.current = false;
      (document.querySelector<HTMLElement>('main [aria-invalid=true]') ?? notice.current)?.focus();
    }
  }, [attempt, error]);
  return notice;
}

function openStore(jobSheetId: string, device: KeptOnDevice, what: string, fresh: Sheet | null): JobStore {
  return new JobStore(
    {
      ...requestsOf(jobSheetId),
      keep: (job, unsent) => device.keep(what, job, unsent),
      forget: () => device.forget(what),
      later: (milliseconds, action) => {
        const timer = setTimeout(action, milliseconds);
        return () => clearTimeout(timer);
      },
      newKey,
    },
    device.read(what) as KeptJob | null,
    fresh,
  );
}
