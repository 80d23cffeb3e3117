import type { PrechargeLimits } from './gas-unit-event.entity';

/** `common-practice` where no rule of the programme says anything. */
export const LIMIT_ORIGINS = ['rule', 'programme-share', 'common-practice'] as const;
export type LimitOrigin = (typeof LIMIT_ORIGINS)[number];

/** The precharge below which a unit has to be recharged, and who says so. */
export interface LimitInForce extends PrechargeLimits {
  limit20BarGauge: number;
  origin: LimitOrigin;
  /** for a sentence */
  source: string;
}
