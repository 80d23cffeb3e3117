import { useQuery } from '@tanstack/react-query';
import { ProblemNotice } from '../../design/notice';
import { StateMark } from '../../design/state-mark';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { holdQuery, type Hold } from './front-desk-queries';
import styles from './hold-state.module.css';

/** The same in a few words, for where it stays in sight. */
export function HoldMark({ vehicleId }: { vehicleId: string }) {
  const { data: hold } = useQuery(holdQuery(vehicleId));
  if (hold === undefined) return <StateMark tone="unknown">Hold not known: do not release</StateMark>;
  if (hold.onHold) return <StateMark tone="bad">On hold: do not release</StateMark>;
  return hold.reasons.length === 0 ? (
    <StateMark tone="good">Not on hold</StateMark>
  ) : (
    <StateMark tone="warn">Hold overridden</StateMark>
  );
}

/** Whether the vehicle may go to the road, and why not. What is not known counts as no. */
export function HoldState({ vehicleId }: { vehicleId: string }) {
  const { data: hold, error } = useQuery(holdQuery(vehicleId));
  if (hold === undefined)
    return (
      <section className={styles.unknown} aria-label="Hold">
        <p className={styles.words}>
          <StateMark tone="unknown">Hold not known yet: do not release the vehicle</StateMark>
        </p>
        <ProblemNotice error={error} />
      </section>
    );
  if (hold.onHold) return <OnHold hold={hold} />;
  return hold.reasons.length === 0 ? null : <Overridden hold={hold} />;
}

function OnHold({ hold }: { hold: Hold }) {
  return (
    <section className={styles.held} aria-label="Hold">
      <div>
        <p className={styles.words}>
          <StateMark tone="bad">On hold: do not release {hold.registrationMark} to the road</StateMark>
        </p>
        <Reasons hold={hold} />
      </div>
      {hold.cautions.length === 0 ? null : (
        <div>
          <h3>Cautions: tell the caller before anybody moves or opens anything</h3>
          <ul className={styles.cautions}>
            {hold.cautions.map(({ code, text }) => (
              <li key={code}>{text}</li>
            ))}
          </ul>
        </div>
      )}
    </section>
  );
}

function Overridden({ hold }: { hold: Hold }) {
  return (
    <section className={styles.overridden} aria-label="Hold">
      <p className={styles.words}>
        <StateMark tone="warn">Not on hold only because somebody answers for it</StateMark>
      </p>
      <Reasons hold={hold} />
    </section>
  );
}

function Reasons({ hold: { reasons, manualHolds } }: { hold: Hold }) {
  const { locale } = useReader();
  const told = useTold();
  if (reasons.length === 0) return null;
  return (
    <ul>
      {reasons.map(({ key, text, sinceOn, holdId, overriddenBy }) => {
        const placedBy = manualHolds.find(({ id }) => id === holdId)?.placedBy;
        return (
          <li key={key}>
            {told(text)}
            {sinceOn === null || text.includes(sinceOn) ? '' : `, since ${dayText(sinceOn, locale)}`}
            {placedBy === undefined ? '' : `, placed by ${placedBy}`}
            {overriddenBy === null
              ? ''
              : `. Overridden by ${overriddenBy.namedPerson} until ${dayText(overriddenBy.untilOn, locale)}`}
          </li>
        );
      })}
    </ul>
  );
}
