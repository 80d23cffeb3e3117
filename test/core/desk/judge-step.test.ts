import { expectedReasons, judgeStep, type JudgedBy } from '../../../src/desk/pages/job-sheets/job/judge-step';
import { newJob, withFields } from '../../../src/desk/pages/job-sheets/job/kept-job';
import { NORMALISED } from '../../reference/nitrogen-tables';
import { ODOMETER, PRECHARGE, sheet, WARNING } from './made-jobs';

const BY: JudgedBy = {
  mainAccumulator: null,
  gauges: [{ id: 'old', code: 'G-014', name: 'Test rig', calibrationDueOn: '2026-06-30' }],
  today: '2026-11-25',
};

it('converts a precharge to 20 °C as the reference equation does', () => {
  // reference equation, evaluated outside: see test/reference/nitrogen-tables.ts
  for (const [gasTemperatureC, pressureBarGauge, , real] of NORMALISED) {
    const judgement = judgeStep(PRECHARGE, { key: PRECHARGE.key, pressureBarGauge, gasTemperatureC }, BY);
    if (judgement.kind !== 'judged') throw new Error('not judged');
    expect(judgement.precharge20BarGauge?.toFixed(4)).toBe(real);
  }
  expect(NORMALISED.length).toBeGreaterThan(4);
});

it('passes and fails by the limit, and says why', () => {
  const read = (pressureBarGauge: number) =>
    judgeStep(PRECHARGE, { key: PRECHARGE.key, pressureBarGauge, gasTemperatureC: 20 }, BY);
  expect(read(44)).toMatchObject({ kind: 'judged', outcome: 'passed' });
  expect(read(43.9)).toMatchObject({ outcome: 'failed', reasons: [expect.stringContaining('44.00 bar')] });
});

it('decides nothing near the limit on a gauge whose calibration is overdue', () => {
  const entry = { key: PRECHARGE.key, pressureBarGauge: 43.5, gasTemperatureC: 20 };
  expect(judgeStep(PRECHARGE, { ...entry, gaugeId: 'old' }, BY)).toMatchObject({ outcome: 'inconclusive' });
  expect(judgeStep(PRECHARGE, entry, BY)).toMatchObject({ outcome: 'failed' });
});

it('names the field that cannot be', () => {
  const entry = { key: PRECHARGE.key, pressureBarGauge: 60, gasTemperatureC: 95 };
  expect(judgeStep(PRECHARGE, entry, BY)).toMatchObject({ kind: 'impossible', field: 'gasTemperatureC' });
  const both = { key: WARNING.key, warningBarGauge: 90, cameOn: false };
  expect(judgeStep(WARNING, both, BY)).toMatchObject({ kind: 'impossible', field: 'warningBarGauge' });
});

it('waits for what is missing', () => {
  expect(judgeStep(PRECHARGE, { key: PRECHARGE.key, pressureBarGauge: 60 }, BY)).toEqual({ kind: 'open' });
  expect(judgeStep(WARNING, { key: WARNING.key }, BY)).toEqual({ kind: 'open' });
});

it('tells what would hold the vehicle', () => {
  const open = newJob(sheet());
  expect(expectedReasons(open, BY)).toEqual(['Not done: Check the low-pressure warning before release.']);
  const failed = withFields(open, WARNING.key, { warningBarGauge: 70 });
  expect(expectedReasons(failed, BY)).toEqual(['Failed: Check the low-pressure warning before release.']);
  const passed = withFields(open, WARNING.key, { warningBarGauge: 90 });
  expect(expectedReasons(withFields(passed, ODOMETER.key, { odometer: 1 }), BY)).toEqual([]);
});
