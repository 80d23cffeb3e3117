import type { Choice } from './form-fields';

/** Every time zone that the browser knows, and the one that is chosen, which it may not know. */
export function zoneChoices(chosen: string): Choice[] {
  const known = Intl.supportedValuesOf('timeZone');
  const all = known.includes(chosen) || chosen === '' ? known : [chosen, ...known];
  return all.map((zone) => ({ value: zone, name: zone.replaceAll('_', ' ') }));
}
