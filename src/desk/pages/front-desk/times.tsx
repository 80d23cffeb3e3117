import { useEffect, useRef } from 'react';
import type { ProblemError } from '../../api/problem';
import { SelectField, TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { minutesText } from '../../format/days';
import type { FreeTime, FreeTimes } from './front-desk-queries';
import { NothingFree } from './nothing-free';
import { AT_HOME, ELSEWHERE, offerKey, spreadOut } from './offers';
import { TimeChoice } from './time-choice';
import styles from './times.module.css';
import type { Asked, Offers } from './use-offers';
import { useShortcut } from './use-shortcut';
import { codeWords } from './visit-tasks';

interface TimesProps {
  offers: Offers;
  chosen: FreeTime | null;
  /** the time that was wanted was taken; what it says and what is free instead */
  taken: ProblemError | null;
  notBefore: string;
  hasWork: boolean;
  /** the caller comes back to it */
  takesFocus: boolean;
  onChoose: (time: FreeTime) => void;
  onNotBefore: (on: string) => void;
}

/** When and where it can be done, numbered, so that the caller is answered by one key. */
export function Times(props: TimesProps) {
  const { offers, chosen, taken, notBefore, hasWork, takesFocus, onChoose, onNotBefore } = props;
  const { home, workshops, atHome, elsewhere, hasElsewhere, transferMinutes } = offers;
  const place = useRef<HTMLElement>(null);
  const toFirst = (): void => place.current?.querySelector<HTMLElement>('ol button')?.focus();
  useShortcut('T', toFirst);
  useEffect(() => {
    if (taken !== null) toFirst();
  }, [taken]);
  useEffect(() => {
    if (takesFocus) place.current?.focus();
  }, [takesFocus]);

  const nearest = taken?.problem.freeTimes ?? [];
  const first = nearest.length > 0 ? nearest.slice(0, AT_HOME) : offered(atHome.data, AT_HOME);
  const others = offered(elsewhere.data, ELSEWHERE);
  const choices = (times: readonly FreeTime[], from: number, isOld: boolean, showsWorkshop: boolean) => (
    <ol className={styles.times}>
      {times.map((time, index) => (
        <li key={offerKey(time)}>
          <TimeChoice
            time={time}
            number={from + index}
            isChosen={chosen !== null && offerKey(chosen) === offerKey(time)}
            isOld={isOld}
            showsWorkshop={showsWorkshop}
            transferMinutes={transferMinutes.get(time.workshopId)}
            onChoose={onChoose}
          />
        </li>
      ))}
    </ol>
  );
  return (
    <section ref={place} tabIndex={-1} className={`sheet stack ${styles.place}`} aria-labelledby="times">
      <h2 id="times">Free times</h2>
      <JobText job={atHome.data?.job} />
      <div className={styles.wanted}>
        <SelectField
          label="This workshop"
          value={home?.id ?? ''}
          onChange={({ target }) => offers.chooseHome(target.value)}
        >
          {workshops.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
        <TextField
          label="Not before"
          type="date"
          value={notBefore}
          onChange={({ target }) => onNotBefore(target.value)}
        />
      </div>
      <ProblemNotice error={offers.error} />
      {hasWork ? null : (
        <Notice tone="info" title="No work is chosen for this visit">
          <p>
            Nothing is overdue or due that is not booked already. Tick what is to be done, or add extra work:
            how long it takes decides when it can be done.
          </p>
        </Notice>
      )}
      {taken === null ? null : (
        <Notice tone="bad" title="That time cannot be had any more" live>
          <p>{taken.problem.detail}</p>
          <p>
            {nearest.length > 0
              ? 'Offer the nearest free times. Nothing that was entered is lost.'
              : taken.problem.remedy}
          </p>
        </Notice>
      )}
      {hasWork ? (
        <h3>{nearest.length > 0 ? 'Nearest to the time that was taken' : (home?.name ?? 'This workshop')}</h3>
      ) : null}
      {nearest.length > 0 ? null : <State asked={atHome} hasWork={hasWork} />}
      {choices(first, 1, nearest.length === 0 && atHome.isOld, false)}
      {hasElsewhere && hasWork ? (
        <>
          <h3>Other workshops</h3>
          <State asked={elsewhere} hasWork={hasWork} />
          {choices(others, 1 + first.length, elsewhere.isOld, true)}
        </>
      ) : null}
    </section>
  );
}

/** Free times of an answer; where there are none, the first one after the days that were asked for. */
function offered(answer: FreeTimes | undefined, count: number): FreeTime[] {
  if (answer === undefined) return [];
  const later = answer.nothingFree?.firstFit;
  return answer.freeTimes.length === 0 && later ? [later] : spreadOut(answer.freeTimes, count);
}

function State({ asked: { data, error, isOld }, hasWork }: { asked: Asked; hasWork: boolean }) {
  if (error !== null) return <ProblemNotice error={error} />;
  if (!hasWork) return null;
  if (data === undefined || isOld) return <Waiting what="the diaries" />;
  return data.nothingFree === null ? null : <NothingFree nothing={data.nothingFree} untilAt={data.untilAt} />;
}

function JobText({ job }: { job: FreeTimes['job'] | undefined }) {
  if (job === undefined) return null;
  const needs = [
    minutesText(job.workMinutes),
    ...(job.bayKinds.length === 0 ? [] : [`bay: ${job.bayKinds.map(codeWords).join(' and ')}`]),
    ...(job.competences.length === 0
      ? []
      : [`people: ${job.competences.map((set) => set.map(codeWords).join(' and ')).join('; ')}`]),
  ];
  return <p>{needs.join(' · ')}</p>;
}
