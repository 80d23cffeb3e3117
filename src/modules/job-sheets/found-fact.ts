import { RECORDABLE_VALUES, VARIANT_FACTS, type LayoutFact } from '../../core/hydraulics/hydraulic-layout';

// as the record of a hydraulic system takes them
const CODE = /^[a-z0-9]+(-[a-z0-9]+)*$/;
const SMALLEST_RESERVOIR_LITRES = 0.1;
const LARGEST_RESERVOIR_LITRES = 500;

/** A fact as an inspection found it, ready to be recorded; else what would be an answer. */
export function foundFact(
  fact: LayoutFact,
  found: string | number | null,
): { value: string | number } | { remedy: string } {
  const text = found === null ? '' : String(found).trim();
  if (fact === 'reservoirLitres') {
    const litres = text === '' ? NaN : Number(text);
    return litres >= SMALLEST_RESERVOIR_LITRES && litres <= LARGEST_RESERVOIR_LITRES
      ? { value: litres }
      : {
          remedy: `give found as litres from ${SMALLEST_RESERVOIR_LITRES} to ${LARGEST_RESERVOIR_LITRES}, such as 5.5, or notDone with the reason`,
        };
  }
  if (fact === 'fluid') {
    return text.length <= 60 && CODE.test(text)
      ? { value: text }
      : {
          remedy:
            'give found as mineral, glycol or a code of your own (lower case words joined by hyphens), or notDone with the reason',
        };
  }
  const variant = VARIANT_FACTS.find((each) => each === fact);
  const allowed = variant === undefined ? [] : RECORDABLE_VALUES[variant];
  return allowed.includes(text)
    ? { value: text }
    : { remedy: `give found as ${allowed.join(', ')}, or notDone with the reason` };
}
