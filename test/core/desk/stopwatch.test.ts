import {
  cycleTimes,
  phaseOf,
  pressed,
  runningSeconds,
  stopped,
  UNUSED,
} from '../../../src/desk/pages/job-sheets/job/stopwatch';

const pressedAt = (...moments: number[]) => moments.reduce(pressed, UNUSED);

it('times charging, then idling, by one button', () => {
  expect(phaseOf(UNUSED)).toBe('ready');
  expect(phaseOf(pressedAt(1_000))).toBe('charging');
  const idling = pressedAt(1_000, 5_240);
  expect(phaseOf(idling)).toBe('idling');
  expect(cycleTimes(idling)).toEqual({ chargeSeconds: 4.2, idleSeconds: null, cycles: 0 });
  expect(runningSeconds(idling, 6_240)).toBe(1);
  expect(cycleTimes(pressedAt(1_000, 5_240, 41_240))).toEqual({
    chargeSeconds: 4.2,
    idleSeconds: 36,
    cycles: 1,
  });
});

it('takes the mean of several cycles', () => {
  expect(cycleTimes(pressedAt(0, 4_000, 40_000, 46_000, 86_000))).toEqual({
    chargeSeconds: 5,
    idleSeconds: 38,
    cycles: 2,
  });
});

it('counts no double press, and no clock that was set back', () => {
  expect(pressedAt(1_000, 1_050)).toEqual(pressedAt(1_000));
  expect(pressedAt(1_000, 500)).toEqual(pressedAt(1_000));
});

it('stops with what was timed to its end, and begins anew', () => {
  const done = stopped(pressedAt(0, 4_000, 40_000));
  expect(phaseOf(done)).toBe('stopped');
  expect(runningSeconds(done, 99_000)).toBe(0);
  expect(cycleTimes(done)).toEqual({ chargeSeconds: 4, idleSeconds: 36, cycles: 1 });
  expect(phaseOf(pressed(done, 100_000))).toBe('charging');
  expect(stopped(UNUSED)).toBe(UNUSED);
});

it('survives being written down', () => {
  const running = pressedAt(1_000, 5_000);
  expect(phaseOf(JSON.parse(JSON.stringify(running)) as typeof running)).toBe('idling');
});
