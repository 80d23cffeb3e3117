import { ProgrammeOptions, RuleOptions } from './rule';

/** What every rule of the starter programme says of its figures. */
export const STARTER_SOURCE = "from memory: confirm against the maker's schedule";

const SUSPENSION_POSITIONS = [
  'suspension-front-left',
  'suspension-front-right',
  'suspension-rear-left',
  'suspension-rear-right',
];
const TOLERANCE = { earlyDays: 30, lateDays: 14 };
// About 140 and 170 bar, with what a workshop gauge and a spring allow
const CUT_IN_AND_OUT = { cutInLowBar: 130, cutInHighBar: 150, cutOutLowBar: 160, cutOutHighBar: 180 };
const EVERY_YEAR = { everyMonths: 12, tolerance: TOLERANCE };
const RESERVE_TESTS = ['low-pressure-warning-test', 'brake-reserve-test'];

// A unit ages by its gas, whatever the vehicle does: no severity
const NO_SEVERITY = {};

const RULES: Omit<RuleOptions, 'source'>[] = [
  {
    code: 'fluid-change-mineral',
    task: 'fluid-change',
    title: 'Change the hydraulic fluid',
    appliesTo: { fluids: ['mineral'] },
    everyMonths: 24,
    everyKm: 60_000,
    tolerance: TOLERANCE,
    satisfies: ['filter-clean'],
    labourMinutes: 90,
    competences: ['hydraulics'],
    bayKind: 'lift',
    consumables: [
      { item: 'mineral-fluid', quantity: 5, unit: 'l' },
      { item: 'reservoir-filter-seal', quantity: 1, unit: 'piece' },
    ],
  },
  {
    code: 'filter-clean',
    task: 'filter-clean',
    title: 'Clean the reservoir filter',
    everyMonths: 24,
    everyKm: 60_000,
    tolerance: TOLERANCE,
    labourMinutes: 25,
    competences: ['hydraulics'],
    bayKind: 'flat',
    consumables: [{ item: 'reservoir-filter-seal', quantity: 1, unit: 'piece' }],
  },
  {
    code: 'suspension-unit-precharge-test',
    task: 'precharge-test',
    title: 'Test the precharge of the suspension unit',
    scope: 'unit',
    positions: SUSPENSION_POSITIONS,
    everyMonths: 24,
    everyKm: 40_000,
    tolerance: TOLERANCE,
    labourMinutes: 20,
    competences: ['hydraulics', 'pressure-equipment'],
    bayKind: 'lift',
  },
  {
    code: 'suspension-unit-recharge',
    task: 'recharge',
    title: 'Recharge the suspension unit',
    scope: 'unit',
    positions: SUSPENSION_POSITIONS,
    prechargeLimit: { shareOfNominal: 0.8 },
    unitAgeMonths: 60,
    unitAgeSince: 'last-charge',
    severityByDutyClass: NO_SEVERITY,
    tolerance: { earlyDays: 60, lateDays: 30 },
    satisfies: ['precharge-test'],
    labourMinutes: 45,
    competences: ['hydraulics', 'pressure-equipment'],
    bayKind: 'lift',
    consumables: [
      { item: 'nitrogen', quantity: 0.03, unit: 'm³' },
      { item: 'unit-seal', quantity: 1, unit: 'piece' },
    ],
  },
  {
    code: 'main-accumulator-precharge-test',
    task: 'precharge-test',
    title: 'Test the precharge of the main accumulator',
    scope: 'unit',
    positions: ['main-accumulator'],
    everyMonths: 24,
    everyKm: 40_000,
    tolerance: TOLERANCE,
    labourMinutes: 20,
    competences: ['hydraulics', 'pressure-equipment'],
    bayKind: 'flat',
  },
  {
    code: 'rear-brake-accumulator-precharge-test',
    task: 'precharge-test',
    title: 'Test the precharge of the rear brake accumulator',
    scope: 'unit',
    positions: ['rear-brake-accumulator'],
    appliesTo: { rearBrakeAccumulator: ['fitted'] },
    everyMonths: 24,
    everyKm: 40_000,
    tolerance: TOLERANCE,
    safetyCritical: true,
    labourMinutes: 30,
    competences: ['hydraulics', 'brakes', 'pressure-equipment'],
    bayKind: 'lift',
  },
  {
    code: 'low-pressure-warning-test',
    task: 'low-pressure-warning-test',
    title: 'Test the low-pressure warning',
    ...EVERY_YEAR,
    testLimits: { warningLowBar: 80, warningHighBar: 100 },
    safetyCritical: true,
    labourMinutes: 15,
    competences: ['brakes'],
    bayKind: 'flat',
  },
  {
    code: 'brake-reserve-test',
    task: 'brake-reserve-test',
    title: 'Test the brake reserve with the pump stopped',
    ...EVERY_YEAR,
    doBefore: ['low-pressure-warning-test'],
    testLimits: { warningNotWithinApplications: 2 },
    safetyCritical: true,
    labourMinutes: 20,
    competences: ['brakes'],
    bayKind: 'flat',
  },
  {
    code: 'regulator-cycle-test',
    task: 'regulator-cycle-test',
    title: 'Time the charging cycle and read cut-in and cut-out',
    everyMonths: 12,
    everyKm: 30_000,
    tolerance: TOLERANCE,
    testLimits: { ...CUT_IN_AND_OUT, lowestPrechargeShare: 0.8, shortestCycleSeconds: 10 },
    labourMinutes: 20,
    competences: ['hydraulics'],
    bayKind: 'flat',
  },
  {
    code: 'hose-and-pipe-inspection',
    task: 'hose-and-pipe-inspection',
    title: 'Inspect hoses and pipes, without pressure',
    everyMonths: 12,
    everyKm: 30_000,
    tolerance: TOLERANCE,
    labourMinutes: 30,
    competences: ['hydraulics'],
    bayKind: 'lift',
  },
  {
    code: 'anti-sink-hold-test',
    task: 'anti-sink-hold-test',
    title: 'Test that the anti-sink valves hold overnight',
    appliesTo: { antiSinkValves: ['fitted'] },
    everyMonths: 12,
    tolerance: TOLERANCE,
    testLimits: { highestSinkMmPerHour: 2.5 },
    labourMinutes: 20,
    competences: ['hydraulics'],
    bayKind: 'flat',
  },
  {
    code: 'steering-regulator-check',
    task: 'steering-regulator-check',
    title: "Check the adjustable steering regulator by the maker's manual",
    appliesTo: { steeringRegulator: ['remote-adjustable'] },
    everyMonths: 24,
    everyKm: 60_000,
    tolerance: TOLERANCE,
    labourMinutes: 30,
    competences: ['hydraulics', 'steering'],
    bayKind: 'flat',
  },
  // After work on the pressure supply, brakes or anti-sink both are tested before release
  ...RESERVE_TESTS.map((task) => ({
    code: `${task}-after-supply-work`,
    task,
    title:
      task === 'brake-reserve-test'
        ? 'Test the brake reserve after work on the pressure supply'
        : 'Test the low-pressure warning after work on the pressure supply',
    kind: 'follow-up' as const,
    followUp: { afterTask: 'pressure-supply-work', days: 0 },
    severityByDutyClass: NO_SEVERITY,
    safetyCritical: true,
    labourMinutes: 15,
    competences: ['brakes'],
    bayKind: 'flat',
  })),
];

/**
 * The starter programme: intervals and limits of the trade for an operator to begin with, as editable options
 * like any other programme. Every rule says that it is from memory and has to be confirmed against the maker's
 * schedule. Source of the figures: common practice, no published source.
 *
 * @returns a fresh copy
 */
export function starterProgramme(): ProgrammeOptions {
  return structuredClone({
    severityByDutyClass: { standard: 1, 'long-distance': 1, 'urban-stop-start': 0.8, 'rough-road': 0.7 },
    rules: RULES.map((rule): RuleOptions => ({ ...rule, source: STARTER_SOURCE })),
  });
}
