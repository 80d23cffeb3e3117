import fc from 'fast-check';
import { meterTrack, type ReadingUnit } from '../../../src/core/usage/meter-track';
import { judgeReading, type EnteredReading } from '../../../src/core/usage/plausibility';
import { estimateUsage, forecastUsage } from '../../../src/core/usage/usage-estimate';
import { DEFAULT_DAILY_MAXIMUM, defaultUsageModel } from '../../../src/core/usage/usage-model';
import { MeterJudge } from '../../../src/modules/odometer-readings/meter-judge';
import type { VehicleHistory } from '../../../src/modules/odometer-readings/vehicle-history';

const DAY = 86_400_000;
const NOW = Date.parse('2026-11-25T12:00:00Z');

const history = (readings: VehicleHistory['readings']): VehicleHistory => ({
  vehicleId: 'v',
  fleetId: 'f',
  zone: 'UTC',
  odometerUnit: 'km',
  dutyClass: 'normal',
  statedYearlyDistanceKm: 20_000,
  readings,
  replacements: [],
  dutyChanges: [],
  offRoad: [],
  models: {},
});

/** What the judge is to say, from every reading there is and the whole track, for an instrument that was never replaced. */
function judgedFromScratch(reading: EnteredReading, accepted: readonly EnteredReading[]) {
  const model = defaultUsageModel('km');
  const earlier = accepted.filter(({ at }) => at < reading.at);
  const track = meterTrack(earlier.map((one, index) => ({ ...one, id: String(index) })));
  const estimate = estimateUsage({ track, statedPerYear: 20_000 }, model);
  return judgeReading(reading, {
    now: NOW,
    accepted,
    dailyMaximum: DEFAULT_DAILY_MAXIMUM.km,
    forecast: forecastUsage(estimate, model),
    instrumentOffset: 0,
  });
}

// several on a day, on the same instant too, out of order and with slips
const rows = fc.array(
  fc.record({
    quarterDays: fc.integer({ min: 0, max: 4 * 500 }),
    drift: fc.integer({ min: -400, max: 400 }),
    slip: fc.constantFrom(1, 1, 1, 1, 10, 0.1),
    unit: fc.constantFrom<ReadingUnit>('km', 'km', 'mi'),
    source: fc.constantFrom('workshop', 'telematics'),
  }),
  { minLength: 1, maxLength: 60 },
);

it('judges by the nearest readings and one of each day as it would by all of them', () => {
  fc.assert(
    fc.property(rows, fc.integer({ min: 0, max: 30 }), (given, onFile) => {
      const readings = given.map(({ quarterDays, drift, slip, unit, source }) => {
        const at = NOW - 501 * DAY + (quarterDays * DAY) / 4;
        const km = Math.max(0, (20_000 + quarterDays * 15 + drift) * slip);
        return { at, day: Math.floor(at / DAY), value: unit === 'mi' ? km / 1.609344 : km, unit, source };
      });
      const known = readings.slice(0, onFile).sort((a, b) => a.at - b.at);
      const judge = new MeterJudge(
        history(known.map(({ at, day, value, unit }) => [at, day, value, unit, 'odometer'])),
        'odometer',
        NOW,
      );
      const accepted: EnteredReading[] = known.map(({ at, day, value, unit }) => ({ at, day, value, unit }));
      for (const reading of readings.slice(onFile)) {
        const entered = judge.entered(reading);
        const judgement = judge.judge(entered);
        expect(judgement).toEqual(judgedFromScratch(entered, accepted));
        if (judgement.verdict === 'quarantined') continue;
        judge.accept(entered);
        accepted.push(entered);
      }
    }),
  );
});
