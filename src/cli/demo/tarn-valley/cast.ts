/**
 * Which vehicle plays which part. Vehicles are numbered 1 to 60: 1–24 stand at the first depot, 25–44 at the
 * second, 45–60 at the third. Everything not named here is left to the seed.
 */
export const CAST = {
  vehicleCount: 60,
  lastOfFirstDepot: 24,
  lastOfSecondDepot: 44,
  inServiceOnLeapDay: 7,
  taskDoneOnLeapDay: 22,
  /** In-service date not known to the operator; 23 and 47 have no history either, so nothing can be told. */
  unknownInService: [11, 23, 34, 47],
  unknownInServiceOdometer: [9, 11, 23, 40, 47],
  /** Three new vehicles, two without papers, one that was simply never looked after. */
  noHistory: [23, 31, 47, 56, 57, 58],
  newVehicles: [56, 57, 58],
  neverMaintained: 31,
  newInstrument: 19,
  /** Number of the vehicle, days from the change until today, duty before and after, rate after / before. */
  dutyChanges: [
    { vehicle: 5, daysAgo: 41, before: 'standard', after: 'long-distance', rateFactor: 1.9 },
    { vehicle: 28, daysAgo: 204, before: 'urban-stop-start', after: 'standard', rateFactor: 1.4 },
    { vehicle: 41, daysAgo: 512, before: 'long-distance', after: 'rough-road', rateFactor: 0.55 },
  ],
  /** One per zone: they run round the clock, also through the clock changes. */
  nightDuty: [12, 50],
  hourMeter: [8, 12, 20, 36, 50],
  noReadings: [33, 57],
  fewReadings: [46, 58],
  unstatedDistance: [4, 17, 26, 33, 43, 49, 55],
  wrongVinCheckDigit: [3, 18, 27, 39, 54],
  carelessMark: [14, 42],
  contradictoryLayout: 16,
  brakeReserveFinding: 38,
  noLayout: [23, 29, 44, 52, 59],
  unverifiedPump: [10, 24, 35, 48, 53],
} as const;

/** True where the vehicle's number is on the list. */
export function isCast(part: readonly number[], vehicle: number): boolean {
  return part.includes(vehicle);
}
