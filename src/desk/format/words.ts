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

/** A sentence of the record with the codes of positions in it told in words. */
export function positionsInWords(sentence: string): string {
  return Object.entries(POSITIONS).reduce(
    (text, [code, words]) => text.replaceAll(` ${code}`, ` ${words.toLowerCase()}`),
    sentence,
  );
}

/** Who did something, without the id that tells namesakes apart where it matters. */
export const actorWords = (actor: string): string =>
  actor.replace(/ \((?:person|key|client) [\da-f-]{36}\)$/, '');

/** The same with a capital letter at its start. */
export const asSentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
