import { useEffect, useState } from 'react';
import { Button } from '../../../design/button';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import type { Step } from '../job/kept-job';
import { cycleTimes, phaseOf, pressed, runningSeconds, stopped, UNUSED, type Phase } from '../job/stopwatch';
import styles from '../job.module.css';
import type { JobPartProps } from './shared-props';

const PRESS: Record<Phase, string> = {
  ready: 'Pump cuts in: start',
  charging: 'Cut-out: it idles now',
  idling: 'Cut-in: it charges again',
  stopped: 'Time it again',
};
const NOW: Record<Phase, string> = {
  ready: 'Engine idling, nothing in use. Press when the pump begins to charge.',
  charging: 'The pump charges',
  idling: 'The pump idles',
  stopped: 'Stopped',
};
const TICK_MS = 100;

/** Times the pressure regulator by one big button, or the space bar; the times go into the fields of the step. */
export function StopwatchPanel({ store, state, isOpen, step }: JobPartProps & { step: Step }) {
  const { locale } = useReader();
  const stopwatch = state.job.stopwatches[step.key] ?? UNUSED;
  const phase = phaseOf(stopwatch);
  const isRunning = phase === 'charging' || phase === 'idling';
  const now = useNow(isRunning);
  const times = cycleTimes(stopwatch);

  const press = (): void => {
    const next = pressed(stopwatch, Date.now());
    const { chargeSeconds, idleSeconds } = cycleTimes(next);
    store.time(step.key, next, {
      ...(chargeSeconds === null ? {} : { chargeSeconds }),
      ...(idleSeconds === null ? {} : { idleSeconds }),
    });
  };
  useSpaceBar(isOpen && isRunning, press);

  return (
    <div className={`${styles.stopwatch} screen-only`} role="group" aria-label="Stopwatch">
      <p>{NOW[phase]}</p>
      <p className={styles.time} role="timer">
        {numberText(runningSeconds(stopwatch, now), locale, 1)} s
      </p>
      <Button kind="main" keys="Space" className={styles.press} disabled={!isOpen} onClick={press}>
        {PRESS[phase]}
      </Button>
      {isRunning ? (
        <Button disabled={!isOpen} onClick={() => store.time(step.key, stopped(stopwatch), {})}>
          Stop
        </Button>
      ) : null}
      {times.cycles > 1 ? <p className="small">Mean of {times.cycles} cycles</p> : null}
    </div>
  );
}

/** Milliseconds since the epoch, moving on while something runs. */
function useNow(isRunning: boolean): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    if (!isRunning) return;
    const timer = setInterval(() => setNow(Date.now()), TICK_MS);
    return () => clearInterval(timer);
  }, [isRunning]);
  return now;
}

// where a press of the space bar means something else already, it keeps that meaning
const OWN_SPACE = 'input, select, textarea, button, a, summary, [contenteditable]';

function useSpaceBar(isWanted: boolean, press: () => void): void {
  useEffect(() => {
    if (!isWanted) return;
    const onKey = (event: KeyboardEvent): void => {
      if (event.code !== 'Space' || event.repeat) return;
      if (event.target instanceof Element && event.target.closest(OWN_SPACE) !== null) return;
      event.preventDefault();
      press();
    };
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  }, [isWanted, press]);
}
