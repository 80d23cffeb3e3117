import { CalendarDate, EpochDay, fromEpochDay, toEpochDay } from '../../../core/shared/calendar-date';

/** A gauge as `POST /v1/gauges` takes it. */
export interface GaugeBody {
  code: string;
  name: string;
  rangeHighBarGauge: number;
  calibrationDueOn: CalendarDate;
}

/** A gauge, with the error that it really has. */
export interface DemoGauge {
  body: GaugeBody;
  /** It shows this share too much. */
  biasShare: number;
  /** Once its calibration is overdue it shows this share too much besides. */
  driftShare: number;
  resolutionBar: number;
}

// days from today until the calibration is due
const GAUGES = [
  { place: 'Tarnholme', dueInDays: 140, biasShare: 0.002, resolutionBar: 0.1 },
  { place: 'Tarnholme', dueInDays: 60, biasShare: -0.003, resolutionBar: 0.1 },
  { place: 'Skelmire Bridge', dueInDays: 290, biasShare: 0.002, resolutionBar: 0.1 },
  { place: 'Skelmire Bridge', dueInDays: -210, biasShare: 0, resolutionBar: 0.2 },
  { place: 'Valtarne', dueInDays: 95, biasShare: -0.001, resolutionBar: 0.1 },
];

/** The gauges of the three workshops; the calibration of one has been overdue for months. */
export function demoGauges(today: EpochDay): DemoGauge[] {
  return GAUGES.map(({ place, dueInDays, biasShare, resolutionBar }, index) => ({
    body: {
      code: `PG-${index + 1}`,
      name: `Test rig gauge, ${place}`,
      rangeHighBarGauge: 100,
      calibrationDueOn: fromEpochDay(today + dueInDays),
    },
    biasShare,
    driftShare: 0.008,
    resolutionBar,
  }));
}

/** What a gauge shows too much on a day, as a share. */
export function gaugeErrorShare({ body, biasShare, driftShare }: DemoGauge, day: EpochDay): number {
  return biasShare + (day > toEpochDay(body.calibrationDueOn) ? driftShare : 0);
}
