import type { CalendarDate } from '../../core/shared/calendar-date';

/** How a test went; each has its own outline, so that no colour is needed to tell them apart. */
export type TestMark = 'passed' | 'failed' | 'inconclusive' | 'left-out';

/** What the picture of a gas unit's precharge shows. Pressures are bar gauge at 20 °C. */
export interface TrendPicture {
  readonly serialNumber: string;
  readonly unitType: string;
  readonly nominal20BarGauge: number | null;
  readonly limit20BarGauge: number | null;
  readonly tests: readonly {
    readonly on: CalendarDate;
    readonly precharge20BarGauge: number;
    readonly mark: TestMark;
  }[];
  /** The fitted line and its 80 % band, by date; two points or more, or none. */
  readonly fit: readonly {
    readonly on: CalendarDate;
    readonly median20BarGauge: number;
    readonly low20BarGauge: number;
    readonly high20BarGauge: number;
  }[];
  /** 10, 50 and 90 % days of reaching the limit; null beyond the forecast. */
  readonly dueWindow: {
    readonly earliestOn: CalendarDate;
    readonly medianOn: CalendarDate | null;
    readonly latestOn: CalendarDate | null;
  } | null;
  /** The label says to what it was charged, or how. */
  readonly recharges: readonly { readonly on: CalendarDate; readonly label: string }[];
  /** The label names the vehicle and position that it came to, or the shelf. */
  readonly moves: readonly { readonly on: CalendarDate; readonly label: string }[];
}
