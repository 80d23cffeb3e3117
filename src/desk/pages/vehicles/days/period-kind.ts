export type PeriodKind = 'off-road-periods' | 'blackout-periods';
