import { HydraulicLayout } from './hydraulic-layout';

/** What it means when a vehicle has settled overnight. */
export type SettlingVerdict = 'normal' | 'fault' | 'unknown';

/**
 * What it means when the vehicle settles overnight: normal without anti-sink valves, a fault with them.
 * Source: common practice, no published source.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function overnightSettling(layout: HydraulicLayout): SettlingVerdict {
  const verdicts = { fitted: 'fault', 'not-fitted': 'normal', unverified: 'unknown' } as const;
  return verdicts[layout.antiSinkValves];
}
