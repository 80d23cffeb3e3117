import { HydraulicLayout } from './hydraulic-layout';

/** What feeds the rear brakes once the pump has stopped and the safety valve has closed. */
export type RearBrakeFeed = 'rear-suspension' | 'rear-brake-accumulator' | 'nothing' | 'unknown';

/**
 * What feeds the rear brakes with the pump stopped: the rear brake accumulator where one is fitted, else the
 * rear suspension, unless anti-sink valves shut it off. Source: common practice, no published source.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function rearBrakeFeed(layout: HydraulicLayout): RearBrakeFeed {
  if (layout.rearBrakeAccumulator === 'fitted') return 'rear-brake-accumulator';
  if (layout.rearBrakeAccumulator === 'unverified' || layout.antiSinkValves === 'unverified')
    return 'unknown';
  return layout.antiSinkValves === 'fitted' ? 'nothing' : 'rear-suspension';
}
