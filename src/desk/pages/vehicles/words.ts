/** A code of the record as a person says it: `brake-reserve-test` is `Brake reserve test`. */
export function inWords(code: string): string {
  const words = code.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

const POSITIONS: Record<string, string> = {
  'suspension-front-left': 'Front left suspension',
  'suspension-front-right': 'Front right suspension',
  'suspension-rear-left': 'Rear left suspension',
  'suspension-rear-right': 'Rear right suspension',
  'main-accumulator': 'Main accumulator',
  'rear-brake-accumulator': 'Rear brake accumulator',
};

/** Where a gas unit sits. */
export const positionWords = (position: string): string => POSITIONS[position] ?? inWords(position);
