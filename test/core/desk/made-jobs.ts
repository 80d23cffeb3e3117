import { NO_TEST_LIMITS } from '../../../src/core/due/test-limits';
import type { Sheet, Step } from '../../../src/desk/pages/job-sheets/job/kept-job';

export function step(key: string, more: Partial<Step> = {}): Step {
  return {
    key,
    kind: 'task',
    why: 'due',
    title: key,
    task: key,
    position: null,
    unit: null,
    fact: null,
    dueItemKey: null,
    cycle: null,
    instructions: [],
    limits: null,
    competences: [],
    minutes: 10,
    consumables: [],
    safetyCritical: false,
    beforeRelease: false,
    required: true,
    ...more,
  };
}

/** nominal 55 bar, recharged below 80 % of it (44 bar): common practice, no published source */
export const PRECHARGE = step('precharge-test@suspension-front-left', {
  kind: 'precharge-test',
  title: 'Test the precharge',
  position: 'suspension-front-left',
  unit: {
    unitId: 'unit',
    serialNumber: 'N7-20417',
    typeName: 'Suspension unit',
    gasVolumeCm3: 400,
    nominal20BarGauge: 55,
    limit20BarGauge: 44,
  },
});
/** the warning comes on between 80 and 100 bar: common practice, no published source */
export const WARNING = step('low-pressure-warning-test', {
  kind: 'system-test',
  title: 'Check the low-pressure warning before release',
  limits: { ...NO_TEST_LIMITS, warningLowBar: 80, warningHighBar: 100 },
  safetyCritical: true,
  beforeRelease: true,
});
export const ODOMETER = step('odometer-reading', { kind: 'odometer-reading', title: 'Read the odometer' });

export function sheet(more: Partial<Sheet> = {}): Sheet {
  return {
    id: 'sheet',
    bookingId: 'booking',
    vehicleId: 'vehicle',
    fleetId: 'fleet',
    workshopId: 'workshop',
    state: 'open',
    cautions: [],
    manualNotes: [],
    safetyFindings: [],
    steps: [ODOMETER, PRECHARGE, WARNING],
    leftOut: [],
    mainAccumulator: null,
    signOffCompetences: [],
    consumables: [],
    minutes: 30,
    entries: [],
    partsUsed: [],
    workFound: [],
    completedAt: null,
    signedOffBy: null,
    decision: null,
    reasons: [],
    results: [],
    revision: 1,
    createdAt: '2026-11-25T09:00:00Z',
    updatedAt: '2026-11-25T09:00:00Z',
    ...more,
  };
}
