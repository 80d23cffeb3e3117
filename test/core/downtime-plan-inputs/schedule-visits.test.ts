import { buildPlanProblem } from '../../../src/modules/downtime-plans/build-plan-problem';
import { makePlan } from '../../../src/modules/downtime-plans/make-plan';
import type { PlanInputs } from '../../../src/modules/downtime-plans/plan-inputs';
import type { PlanAssumption } from '../../../src/modules/downtime-plans/plan-wishes';
import { planResult } from '../../../src/modules/downtime-plans/plan-result';
import { toTheEnd } from '../../support/drive-planner';
import { atHour, bay, dateOf, owed, person, planInputs, workshop } from '../../support/plan-inputs';

// A day has 480 minutes, less 15 before and after each visit. Hours are those of British summer time.

const BUDGET = { seed: 1, boundPasses: 20, cutPasses: 10, searchIterations: 200 };

/** The visits of a plan, the earliest first: who, when, where, by whom. */
async function visitsOf(inputs: PlanInputs) {
  const built = buildPlanProblem(inputs);
  const made = await makePlan(inputs, built, BUDGET, toTheEnd);
  const plan = { organisationId: 'organisation', id: 'plan', fleetId: 'fleet' };
  const { visits, outcome } = planResult(plan, inputs, built, made);
  if (inputs.wishes.locked.length === 0) expect(outcome.plan.costMinor).toBe(made.draft.cost);
  expect(made.bound).toBeLessThanOrEqual(made.draft.cost);
  return [...visits]
    .sort((a, b) => a.visitOn.localeCompare(b.visitOn) || Number(a.startsAt) - Number(b.startsAt))
    .map(({ vehicleId, visitOn, startsAt, endsAt, bayId, technicianIds }) => ({
      vehicleId,
      visitOn,
      from: startsAt === null ? null : hourOf(startsAt),
      until: endsAt === null ? null : hourOf(endsAt),
      bayId,
      technicianIds,
    }));
}

function hourOf(at: Date): number {
  return (at.getTime() % 86_400_000) / 3_600_000 + 1;
}

describe('places of visits in the diaries', () => {
  test('one after the other, with the minutes around each of them', async () => {
    const inputs = planInputs({
      vehicles: ['one', 'two'],
      items: [owed('one', 'fluid-change'), owed('two', 'fluid-change', { labourMinutes: 120 })],
    });
    const at = { bayId: 'near-lift', technicianIds: ['near-hand'] };
    expect(await visitsOf(inputs)).toEqual([
      { ...at, vehicleId: 'two', visitOn: dateOf(2), from: 8, until: 10 },
      { ...at, vehicleId: 'one', visitOn: dateOf(2), from: 10.25, until: 11.25 },
    ]);
  });

  test('gaps that are long enough only together hold nothing: another day', async () => {
    const busy = [9, 11, 14, 16].map((hour) => ({
      startsAt: atHour(2, hour - 1),
      endsAt: atHour(2, hour),
    }));
    const inputs = planInputs({
      workshops: [workshop('near', { bays: [bay('near-lift', { busy })] })],
      items: [owed('one', 'fluid-change', { labourMinutes: 110 })],
    });
    const [visit] = await visitsOf(inputs);
    expect(visit).toMatchObject({ visitOn: dateOf(1), from: 8 });
  });

  test('one bay has to serve every kind of work of a visit', async () => {
    const bays = [bay('lift', { kinds: ['lift'] }), bay('flat', { kinds: ['flat'] })];
    const items = [owed('one', 'fluid-change'), owed('one', 'precharge-test', { bayKind: 'flat' })];
    const apart = await visitsOf(planInputs({ workshops: [workshop('near', { bays })], items }));
    expect(apart.map(({ bayId }) => bayId).sort()).toEqual(['flat', 'lift']);
    const both = [...bays, bay('both', { kinds: ['flat', 'lift'] })];
    const together = await visitsOf(planInputs({ workshops: [workshop('near', { bays: both })], items }));
    expect(together.map(({ bayId }) => bayId)).toEqual(['both']);
  });

  test('people are there throughout, not for their own part of the work', async () => {
    // 240 minutes of brakes and of hydraulics are there, never at the same time
    const technicians = [
      person('morning', ['hydraulics'], { absences: [{ startsAt: atHour(2, 12), endsAt: atHour(2, 24) }] }),
      person('afternoon', ['brakes'], { absences: [{ startsAt: atHour(2, 0), endsAt: atHour(2, 13) }] }),
    ];
    const items = [owed('one', 'fluid-change'), owed('one', 'brake-check', { competences: ['brakes'] })];
    const inputs = planInputs({ workshops: [workshop('near', { technicians })], items });
    const [visit] = await visitsOf(inputs);
    expect(visit).toMatchObject({ visitOn: dateOf(1), technicianIds: ['afternoon', 'morning'] });
  });

  test('what comes before other work and finds no place takes the other work with it', async () => {
    const bays = [
      bay('lift', {
        busy: [8, 10, 13, 15].map((h) => ({ startsAt: atHour(1, h), endsAt: atHour(1, h + 1) })),
      }),
    ];
    const day = (n: number) => ({ earlyOn: dateOf(n), dueOn: dateOf(n), lateOn: dateOf(n + 7) });
    const inputs = planInputs({
      workshops: [workshop('near', { bays })],
      items: [
        owed('one', 'fluid-change', { ...day(1), labourMinutes: 100, safetyCritical: true }),
        owed('one', 'precharge-test', { ...day(2), doBefore: ['fluid-change'], labourMinutes: 400 }),
      ],
    });
    const visits = await visitsOf(inputs);
    expect(visits.map(({ visitOn }) => visitOn)).toEqual([dateOf(2), dateOf(3)]);
  });

  test('a visit that is locked where the diary has no place keeps its day and has no time', async () => {
    const busy = [9, 11, 14, 16].map((hour) => ({ startsAt: atHour(2, hour - 1), endsAt: atHour(2, hour) }));
    const lock = { vehicleId: 'one', workshopId: 'near', on: dateOf(2), dueItemKeys: ['fluid-change'] };
    const inputs = planInputs({
      workshops: [workshop('near', { bays: [bay('near-lift', { busy })] })],
      items: [owed('one', 'fluid-change', { labourMinutes: 110 })],
      wishes: { locked: [lock], forbidden: [] },
    });
    expect(await visitsOf(inputs)).toEqual([
      { vehicleId: 'one', visitOn: dateOf(2), from: null, until: null, bayId: null, technicianIds: [] },
    ]);
  });

  test('technicians that are only assumed do the work and are not named', async () => {
    const item = owed('one', 'brake-check', { competences: ['brakes'] });
    const more: PlanAssumption = {
      kind: 'more-technicians',
      workshopId: 'near',
      count: 1,
      competences: ['brakes'],
    };
    const [visit] = await visitsOf(planInputs({ items: [item], assumptions: [more] }));
    expect(visit).toMatchObject({ visitOn: dateOf(2), from: 8, technicianIds: [] });
    expect(await visitsOf(planInputs({ items: [item] }))).toEqual([]);
  });

  test('a bay that is assumed to be closed takes nobody', async () => {
    const closed = {
      kind: 'bay-closed',
      workshopId: 'near',
      bayId: 'near-lift',
      fromOn: dateOf(0),
      untilOn: dateOf(4),
    } as const;
    const [visit] = await visitsOf(
      planInputs({ items: [owed('one', 'fluid-change')], assumptions: [closed] }),
    );
    expect(visit).toMatchObject({ visitOn: dateOf(4), from: 8 });
  });
});
