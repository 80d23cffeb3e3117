import { textTable } from '../../src/cli/text-table';

export interface Figure {
  key: string;
  value: number | null;
  unit: string;
  /** what it was compared with, or why there is no value */
  comparison: string;
}

/** Keys of everything that the project measures, those of parts that are not built yet included. */
const KEYS = [
  'read_ratio',
  'write_ratio',
  'recompute_ratio',
  'recompute_items_per_s',
  'recompute_growth',
  'start_cold_s',
  'start_warm_s',
  'rss_idle_mb',
  'rss_load_mb',
  'gas_normalise_per_s',
  'gas_real_to_ideal',
  'forecast_per_s',
  'slots_p50_ms',
  'slots_p99_ms',
  'slots_speedup',
  'booking_ratio',
  'plan_gap_100',
  'plan_gap_500',
  'plan_gap_2000',
  'plan_gap_10000',
  'plan_seconds_100',
  'plan_seconds_500',
  'plan_seconds_2000',
  'plan_seconds_10000',
  'plan_rss_mb_10000',
  'plan_cost_ratio_2000',
  'plan_api_p99_ratio',
  'tokens_per_s',
  'token_read_ratio',
  'import_ratio',
  'import_rss_growth_mb',
  'feed_events_per_s',
  'webhook_deliveries_per_s',
  'desk_first_load_kb',
  'desk_key_ms',
  'desk_found_ms',
] as const;

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const [low, high] = [sorted[middle - 1] ?? NaN, sorted[middle] ?? NaN];
  return sorted.length % 2 === 1 ? high : (low + high) / 2;
}

/** A table for people, then one line of JSON with every key. */
export function printFigures(figures: readonly Figure[], machine: string): void {
  const shown = (value: number | null): string =>
    value === null ? '-' : String(Number(value.toPrecision(4)));
  console.log(`\n${machine}\n`);
  console.log(
    textTable(
      ['figure', 'value', 'unit', 'compared with'],
      figures.map(({ key, value, unit, comparison }) => [key, shown(value), unit, comparison]),
    ),
  );
  const unmeasured = KEYS.filter((key) => !figures.some((figure) => figure.key === key));
  if (unmeasured.length > 0) console.log(`\nnot measured in this run: ${unmeasured.join(', ')}`);
  console.log(
    JSON.stringify(
      Object.fromEntries(KEYS.map((key) => [key, figures.find((one) => one.key === key)?.value ?? null])),
    ),
  );
}
