import { useQuery } from '@tanstack/react-query';
import { ProblemNotice } from '../../design/notice';
import { StateMark } from '../../design/state-mark';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { datedText } from './dated-text';
import { holdQuery, type Hold } from './front-desk-queries';
import styles from './hold-state.module.css';

/** Whether the vehicle may go to the road. What is not known counts as no. */
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
  return hold.onHold ? <OnHold hold={hold} /> : <NotOnHold hold={hold} />;
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
          <h3 id="cautions">Cautions: tell the caller before anybody moves or opens anything</h3>
          <div className={styles.cautions} tabIndex={0} role="region" aria-labelledby="cautions">
            <ul>
              {hold.cautions.map(({ code, text }) => (
                <li key={code}>{text}</li>
              ))}
            </ul>
          </div>
        </div>
      )}
    </section>
  );
}

function NotOnHold({ hold }: { hold: Hold }) {
  return (
    <section className={hold.reasons.length === 0 ? styles.free : styles.overridden} aria-label="Hold">
      <p>
        <StateMark tone={hold.reasons.length === 0 ? 'good' : 'warn'}>
          {hold.reasons.length === 0 ? 'Not on hold' : 'Not on hold, because somebody answers for it'}
        </StateMark>
      </p>
      <Reasons hold={hold} />
    </section>
  );
}

function Reasons({ hold: { reasons, manualHolds } }: { hold: Hold }) {
  const { locale } = useReader();
  if (reasons.length === 0) return null;
  return (
    <ul>
      {reasons.map(({ key, text, sinceOn, holdId, overriddenBy }) => {
        const placedBy = manualHolds.find(({ id }) => id === holdId)?.placedBy;
        return (
          <li key={key}>
            {datedText(text, locale)}
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
