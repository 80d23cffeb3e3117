/**
 * On which line of a JSON text each value begins, by its JSON pointer (RFC 6901) without the leading slash, so that what
 * is wrong with a value can be shown beside it. The text has to be valid JSON.
 */
export function pointerLines(text: string): Map<string, number> {
  const lines = new Map<string, number>();
  const tokens = text.matchAll(/"(?:[^"\\]|\\.)*"|[{}[\],:]|[^\s{}[\],:"]+|\n/g);
  let line = 1;
  const next = (): string => {
    for (;;) {
      const token = tokens.next();
      if (token.done === true) return '';
      if (token.value[0] !== '\n') return token.value[0];
      line++;
    }
  };
  const read = (token: string, place: string): void => {
    lines.set(place, line);
    if (token === '{') readMembers(place);
    if (token === '[') readElements(place);
  };
  const below = (place: string, name: string | number): string =>
    `${place === '' ? '' : `${place}/`}${String(name).replaceAll('~', '~0').replaceAll('/', '~1')}`;
  const readMembers = (place: string): void => {
    for (let token = next(); token !== '}' && token !== ''; token = next()) {
      if (token === ',') continue;
      const inner = below(place, JSON.parse(token) as string);
      const nameLine = line;
      next(); // the colon
      read(next(), inner);
      lines.set(inner, nameLine);
    }
  };
  const readElements = (place: string): void => {
    let index = 0;
    for (let token = next(); token !== ']' && token !== ''; token = next()) {
      if (token === ',') continue;
      read(token, below(place, index++));
    }
  };
  read(next(), '');
  return lines;
}

/** The line of a value, or of what it would be a part of where it is missing. */
export function lineOf(lines: ReadonlyMap<string, number>, pointer: string): number {
  for (
    let place = pointer;
    place !== '';
    place = place.includes('/') ? place.slice(0, place.lastIndexOf('/')) : ''
  ) {
    const line = lines.get(place);
    if (line !== undefined) return line;
  }
  return lines.get('') ?? 1;
}
