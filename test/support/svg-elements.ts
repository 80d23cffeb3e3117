export interface SvgElement {
  name: string;
  attributes: Record<string, string>;
  /** as it reads, entities resolved */
  text: string;
}

/** Elements with their attributes and text; throws where the text is not well-formed XML. */
export function elementsOf(svg: string): SvgElement[] {
  const elements: SvgElement[] = [];
  const open: SvgElement[] = [];
  const tokens = svg.match(/<[^<>]*>|[^<]+/g) ?? [];
  if (tokens.join('') !== svg) throw new Error('a stray < or >');
  if (/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/u.test(svg))
    throw new Error('a character that XML does not allow');
  for (const token of tokens) {
    if (!token.startsWith('<')) {
      if (token.includes('>')) throw new Error(`not escaped: ${token}`);
      const into = open.at(-1);
      if (into) into.text += read(token);
      else if (token.trim() !== '') throw new Error('text outside the document');
      continue;
    }
    const closing = /^<\/([a-zA-Z]+)\s*>$/.exec(token);
    if (closing) {
      if (open.pop()?.name !== closing[1]) throw new Error(`closes what is not open: ${token}`);
      continue;
    }
    const opening = /^<([a-zA-Z]+)((?: +[a-zA-Z:-]+="[^"<]*")*) *(\/?)>$/.exec(token);
    if (!opening) throw new Error(`not an element: ${token}`);
    if (open.length === 0 && elements.length > 0) throw new Error('more than one document');
    const attributes: Record<string, string> = {};
    for (const [, key, value] of opening[2]!.matchAll(/([a-zA-Z:-]+)="([^"]*)"/g)) {
      if (attributes[key!] !== undefined) throw new Error(`attribute twice: ${token}`);
      attributes[key!] = read(value!);
    }
    const element = { name: opening[1]!, attributes, text: '' };
    elements.push(element);
    if (opening[3] === '') open.push(element);
  }
  if (open.length > 0) throw new Error('not closed');
  return elements;
}

const ENTITIES: Record<string, string> = { lt: '<', gt: '>', quot: '"', apos: "'", '#39': "'", amp: '&' };

function read(text: string): string {
  return text.replace(/&([^;&]*;)?/g, (entity, name?: string) => {
    const character = ENTITIES[name?.slice(0, -1) ?? ''];
    if (character === undefined) throw new Error(`not an entity: ${entity}`);
    return character;
  });
}

export const textsOf = (svg: string): string[] =>
  elementsOf(svg)
    .filter(({ name }) => name === 'text')
    .map(({ text }) => text);

/** Where a text stands; throws where there is none or more than one. */
export function placeOf(svg: string, words: string): [number, number] {
  const found = elementsOf(svg).filter(({ name, text }) => name === 'text' && text === words);
  if (found.length !== 1) throw new Error(`${found.length} texts "${words}"`);
  const [, x, y] = /translate\(([\d.]+) ([\d.]+)\)/.exec(found[0]!.attributes.transform!)!;
  return [Number(x), Number(y)];
}

export interface Outline {
  name: string;
  attributes: Record<string, string>;
  points: [number, number][];
}

/** Polygons and polylines with their corners. */
export const outlinesOf = (svg: string): Outline[] =>
  elementsOf(svg)
    .filter(({ name }) => name === 'polygon' || name === 'polyline')
    .map(({ name, attributes }) => {
      const numbers = attributes.points!.split(' ').map(Number);
      return {
        name,
        attributes,
        points: Array.from({ length: numbers.length / 2 }, (_, i) => [numbers[2 * i]!, numbers[2 * i + 1]!]),
      };
    });

/** Colours that are neither black, white nor a grey. Strokes of no width do not count. */
export const coloursOf = (svg: string): string[] =>
  elementsOf(svg)
    .filter(({ attributes }) => attributes['stroke-width'] !== '0')
    .flatMap(({ attributes: { fill, stroke } }) => [fill, stroke])
    .filter((colour): colour is string => colour !== undefined)
    .filter((colour) => !/^(none|#(.)\2\2|#(..)\3\3|url\(#[\w-]+\))$/.test(colour));
