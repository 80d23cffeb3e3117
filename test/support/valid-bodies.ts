import { TODAY, type World } from './world';

const LAYOUT = {
  pumpKind: 'split',
  antiSinkValves: 'fitted',
  rearBrakeAccumulator: 'unverified',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
  fluid: 'mineral',
  reservoirLitres: 5.5,
};

const EVIDENCE = {
  antiSinkValves: {
    seenBy: 'technician T07',
    seenOn: '2026-11-20',
    how: 'vehicle on the ramp, pipes followed',
  },
};

const RULE = {
  code: 'filter-clean',
  task: 'filter-clean',
  title: 'Clean the filter of the reservoir',
  appliesTo: { pumpKind: ['split'], dutyClasses: ['normal'], vehicleAgeMonths: { from: 0, until: 240 } },
  everyMonths: 24,
  everyKm: 60_000,
  first: { months: 12 },
  severityByDutyClass: { normal: 1 },
  tolerance: { earlyDays: 30, lateDays: 14, earlyKm: 1_000, lateKm: 500 },
  labourMinutes: 45,
  competences: ['hydraulics'],
  bayKind: 'lift',
  consumables: [{ item: 'mineral-fluid', quantity: 0.5, unit: 'l' }],
  source: 'made for the test',
};

/**
 * For every operation that takes JSON a body that it accepts, by operationId. The tests spoil one field at a
 * time, and send each as it is in the end, so that a body that is not accepted cannot hide anything.
 */
export function validBodies({ ids, reasonKeys }: World): Record<string, Record<string, unknown>> {
  return {
    ApiKeys_create: {
      name: 'telematics',
      role: 'dealer-system',
      fleetIds: [ids.fleetId],
      expiresAt: '2030-01-01T00:00:00Z',
    },
    ApiKeys_rotate: { overlapHours: 1 },
    Depots_create: { fleetId: ids.fleetId, externalKey: 'D9', name: 'Lower Tarn', zone: 'Europe/London' },
    Depots_update: { externalKey: 'D10', name: 'Upper Tarn yard', zone: 'Europe/Paris' },
    DutyChanges_create: {
      fromOn: '2026-09-15',
      dutyClass: 'urban-stop-start',
      note: 'moved to the town round',
      externalKey: 'C9',
    },
    Fleets_create: { externalKey: 'F9', name: 'Night service', serviceProgrammeId: ids.programmeId },
    Fleets_update: { externalKey: 'F10', name: 'Patients', serviceProgrammeId: ids.programmeId },
    HoldOverrides_create: {
      reasonKeys: reasonKeys.slice(0, 1),
      namedPerson: 'workshop manager',
      statement: 'may be driven to the workshop, empty',
      fromOn: TODAY,
      untilOn: '2026-11-28',
    },
    Holds_lift: { reason: 'hose replaced, level test passed' },
    Holds_place: { reason: 'fluid on the floor of the bay' },
    HydraulicSystems_derive: { ...LAYOUT, evidence: EVIDENCE },
    HydraulicSystems_record: { ...LAYOUT, evidence: EVIDENCE },
    OdometerReadings_create: {
      value: 14_500,
      unit: 'km',
      meter: 'odometer',
      readAt: '2026-11-20T09:30:00+00:00',
      source: 'driver-sheet',
      externalKey: 'R9',
    },
    OdometerReadings_decide: { decision: 'accept-corrected', value: 11_500, note: 'a digit was left out' },
    OdometerReplacements_create: {
      meter: 'engine-hours',
      replacedAt: '2026-11-19T10:00:00Z',
      oldFinalValue: 950,
      oldUnit: 'h',
      newInitialValue: 0,
      newUnit: 'h',
      note: 'new instrument cluster',
      externalKey: 'S9',
    },
    OdometerReplacements_update: {
      oldFinalValue: 40_300,
      newInitialValue: 1,
      note: 'read again from the photo',
    },
    OffRoadPeriods_create: {
      fromOn: '2026-11-02',
      untilOn: '2026-11-05',
      reason: 'waiting for a body part',
      externalKey: 'O9',
    },
    Organisations_update: { name: 'Tarn Valley Transport' },
    ProgrammeVersions_create: {
      basedOn: ids.versionId,
      rules: [RULE],
      severityByDutyClass: { normal: 1, 'urban-stop-start': 0.8 },
      changeNote: 'shorter interval in town',
    },
    ProgrammeVersions_publish: { effectiveOn: '2026-12-01' },
    ProgrammeVersions_replace: {
      rules: [RULE],
      severityByDutyClass: { normal: 1, 'urban-stop-start': 0.8 },
      changeNote: 'shorter interval in town',
    },
    ServiceProgrammes_create: {
      name: 'Minibuses, urban',
      originNote: 'made for the test',
      rules: [RULE],
      severityByDutyClass: { normal: 1, 'urban-stop-start': 0.8 },
    },
    ServiceProgrammes_setDefault: { serviceProgrammeId: ids.programmeId },
    ServiceProgrammes_update: { name: 'Minibuses, country', originNote: 'made for the test' },
    TaskCompletions_create: {
      task: 'brake-reserve-check',
      position: null,
      doneOn: '2026-11-10',
      odometerValue: 14_000,
      odometerUnit: 'km',
      engineHours: 20,
      doneBy: 'technician T07',
      note: 'as the sheet says',
      externalKey: 'T9',
    },
    TaskCompletions_void: { reason: 'belongs to another vehicle' },
    UsageModels_refit: { fleetId: ids.fleetId },
    Vehicles_create: {
      depotId: ids.depotId,
      externalKey: 'V9',
      registrationMark: 'TVP 109',
      fleetNumber: '109',
      // straight ones satisfy the check digit: 89 = 8 × 11 + 1
      vin: '11111111111111111',
      dutyClass: 'normal',
      inServiceOn: '2025-01-10',
      inServiceOdometerKm: 12,
      inServiceEngineHours: 1,
      odometerUnit: 'km',
      statedYearlyDistanceKm: 20_000,
      serviceProgrammeId: ids.programmeId,
    },
    Vehicles_update: {
      depotId: ids.depotId,
      externalKey: 'V10',
      registrationMark: 'TVP 110',
      fleetNumber: '110',
      vin: '11111111111111111',
      dutyClass: 'normal',
      inServiceOn: '2024-01-10',
      inServiceOdometerKm: 12,
      inServiceEngineHours: 1,
      odometerUnit: 'km',
      statedYearlyDistanceKm: 20_000,
      serviceProgrammeId: ids.programmeId,
      retiredOn: null,
    },
  };
}

/** The body for one operation; a new operation needs a line in the table. */
export function validBodyOf(world: World, operationId: string): Record<string, unknown> {
  const body = validBodies(world)[operationId];
  if (body === undefined) {
    throw new Error(`no body is known that ${operationId} accepts: add one to test/support/valid-bodies.ts`);
  }
  return body;
}
