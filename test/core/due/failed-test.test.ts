import { FittedUnit, TaskCompletion } from '../../../src/core/due/due-input';
import { DueItem } from '../../../src/core/due/due-item';
import { dueItemsOf } from '../../../src/core/due/due-items';
import { explain } from '../../../src/core/due/explain';
import { stateOn } from '../../../src/core/due/state';
import { completion, vehicle } from './due-case';

const UNIT: FittedUnit = {
  unitId: 'u-1',
  serialNumber: 'TV-1',
  typeCode: 'sphere-55',
  position: 'suspension-front-left',
  fittedOn: '2025-01-01',
  firstFittedOn: '2025-01-01',
  vehicleTotalKmAtFitting: null,
  unitTotalKmAtFitting: 0,
  earlierTrack: [],
  earlierCompletions: [],
  madeOn: '2024-06-01',
  lastChargedOn: null,
  nominalPrecharge20BarGauge: 55,
  prechargeForecasts: [],
};

function itemFor(completions: TaskCompletion[], units: FittedUnit[] = []): DueItem {
  const scope = units.length > 0 ? ('unit' as const) : ('vehicle' as const);
  const positions = units.length > 0 ? { positions: [UNIT.position] } : {};
  const [item] = dueItemsOf(
    vehicle(
      [
        {
          code: 'test',
          task: 'cycle-test',
          everyMonths: 12,
          scope,
          ...positions,
          tolerance: { earlyDays: 30, lateDays: 7 },
        },
        { code: 'overhaul', task: 'overhaul', everyMonths: 120, satisfies: ['cycle-test'] },
      ],
      { completions, units },
    ),
  ).filter(({ ruleCode }) => ruleCode === 'test');
  return item as DueItem;
}

describe('a test that failed', () => {
  const passed = completion('cycle-test', '2026-03-01');
  const failed = (on: string, more: Partial<TaskCompletion> = {}): TaskCompletion =>
    completion('cycle-test', on, { outcome: 'failed', ...more });

  it('is owed again from that day, with the days of grace of its rule', () => {
    const item = itemFor([passed, failed('2026-06-01')]);
    expect(item).toMatchObject({
      driver: 'failed-test',
      earlyOn: '2026-06-01',
      dueOn: '2026-06-01',
      lateOn: '2026-06-08',
    });
    expect([stateOn(item, '2026-06-01'), stateOn(item, '2026-06-09')]).toEqual(['due', 'overdue']);
    expect(explain(item).join('\n')).toContain('"cycle-test" failed on 2026-06-01');
  });

  it('leaves an earlier date where the item was due before', () => {
    expect(itemFor([passed, failed('2027-05-01')])).toMatchObject({
      driver: 'failed-test',
      dueOn: '2027-03-01',
      lateOn: '2027-03-08',
    });
  });

  it('is settled by passing it, or by work that satisfies it, later only', () => {
    const dueOn = (...more: TaskCompletion[]): string | null =>
      itemFor([passed, failed('2026-06-01'), ...more]).dueOn;
    expect(dueOn(completion('cycle-test', '2026-06-02'))).toBe('2027-06-02');
    expect(dueOn(completion('overhaul', '2026-06-02'))).toBe('2027-06-02');
    expect(dueOn(completion('cycle-test', '2026-05-31'))).toBe('2026-06-01');
    expect(dueOn(completion('fluid-change', '2026-06-02'))).toBe('2026-06-01');
  });

  it('within a day goes by the moment, whatever was recorded first', () => {
    const retest = completion('cycle-test', '2026-06-01', { at: 2_000 });
    expect(itemFor([passed, retest, failed('2026-06-01', { at: 1_000 })]).driver).toBe('time');
    expect(itemFor([passed, retest, failed('2026-06-01', { at: 3_000 })]).driver).toBe('failed-test');
  });

  it('of a unit goes with the unit: exchanged, the position owes it no more', () => {
    const onUnit = { unitId: 'u-1', position: UNIT.position };
    const failure = failed('2026-06-01', onUnit);
    expect(itemFor([failure], [UNIT]).driver).toBe('failed-test');
    const other = { ...UNIT, unitId: 'u-2', fittedOn: '2026-06-03', firstFittedOn: '2026-06-03' };
    expect(itemFor([failure], [other])).toMatchObject({ driver: 'time', dueOn: '2027-06-03' });
    // and where the unit goes, its failure goes
    const moved = { ...other, unitId: 'u-1', earlierCompletions: [failure] };
    expect(itemFor([], [moved]).driver).toBe('failed-test');
  });
});
