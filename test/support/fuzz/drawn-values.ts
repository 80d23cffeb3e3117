import fc from 'fast-check';
import type { Schema } from '../contract-schemas';
import type { Dice } from './dice';
import type { KnownIds } from './known-ids';

const DAYS = fc
  .integer({ min: -4_000, max: 4_000 })
  .map((days) => new Date(Date.parse('2026-11-25') + days * 86_400_000).toISOString().slice(0, 10));
const MOMENTS = fc
  .tuple(DAYS, fc.integer({ min: 0, max: 1_439 }), fc.constantFrom('Z', '+01:00', '-03:30', '+13:00'))
  .map(
    ([day, minute, zone]) =>
      `${day}T${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}:00${zone}`,
  );
/** Words that mean something in some field or other, so that more than the outermost check is reached. */
const WORDS = [
  'Europe/London',
  'Pacific/Apia',
  'UTC',
  'GB-ENG',
  'DE-BY',
  'technician T07',
  'km',
  'now',
  'x',
  'T1',
];
const CODES = ['fluid-change', 'hydraulics', 'normal', 'brake-reserve-check', 'suspension-front-left', 'a-1'];

/** A value that a schema allows, whatever it may mean to the product. */
export function drawnValue(schema: Schema, name: string, dice: Dice, known: KnownIds): unknown {
  if (schema.constant !== undefined) return schema.constant;
  if (schema.nullable && dice.percent(10)) return null;
  if (schema.enum !== undefined) return dice.pick(schema.enum);
  switch (schema.types[0]) {
    case 'string':
      return drawnText(schema, name, dice, known);
    case 'integer':
    case 'number':
      return drawnNumber(schema, dice);
    case 'boolean':
      return dice.percent(50);
    case 'array':
      return drawnList(schema, name, dice, known);
    default:
      return drawnObject(schema, dice, known);
  }
}

function drawnText(schema: Schema, name: string, dice: Dice, known: KnownIds): string {
  const { format, pattern, minLength = 0, maxLength = 60 } = schema;
  if (format === 'uuid') return known.one(dice, name);
  if (format === 'date') return dice.of(DAYS);
  if (format === 'date-time') return dice.of(MOMENTS);
  const fits = (text: string): boolean => text.length >= minLength && text.length <= maxLength;
  if (pattern !== undefined) {
    const codes = CODES.filter((code) => fits(code) && new RegExp(pattern, 'u').test(code));
    if (codes.length > 0 && dice.percent(70)) return dice.pick(codes);
    const text = dice.of(fc.stringMatching(new RegExp(pattern, 'u')));
    return fits(text) ? text : (codes[0] ?? text);
  }
  const words = WORDS.filter(fits);
  if (words.length > 0 && dice.percent(50)) return dice.pick(words);
  const longest = dice.percent(5) ? maxLength : Math.min(maxLength, Math.max(minLength, 40));
  return dice
    .of(fc.string({ unit: dice.pick(['grapheme', 'binary-ascii'] as const), minLength, maxLength: longest }))
    .slice(0, maxLength);
}

function drawnNumber({ types, minimum = -1e9, maximum = 1e9 }: Schema, dice: Dice): number {
  const [low, high] = [Math.ceil(minimum), Math.floor(maximum)];
  const small = fc.integer({
    min: Math.min(Math.max(low, 0), high),
    max: Math.min(high, Math.max(low, 0) + 200),
  });
  if (dice.percent(50)) return dice.of(small);
  if (types.includes('integer'))
    return dice.of(fc.integer({ min: Math.max(low, -(2 ** 53)), max: Math.min(high, 2 ** 53) }));
  return dice.of(fc.double({ min: minimum, max: maximum, noNaN: true }));
}

function drawnList(schema: Schema, name: string, dice: Dice, known: KnownIds): unknown[] {
  const { items, minItems = 0, maxItems = 3, uniqueItems } = schema;
  if (items === undefined) return [];
  const length = dice.of(fc.integer({ min: minItems, max: Math.max(minItems, Math.min(maxItems, 3)) }));
  const list = Array.from({ length }, () => drawnValue(items, name, dice, known));
  return uniqueItems ? [...new Map(list.map((each) => [JSON.stringify(each), each])).values()] : list;
}

function drawnObject(schema: Schema, dice: Dice, known: KnownIds): Record<string, unknown> {
  const chance = dice.pick([0, 30, 60, 100]);
  const named = Object.entries(schema.properties).filter(
    ([name]) => schema.required.includes(name) || dice.percent(chance),
  );
  const object = Object.fromEntries(
    named.map(([name, property]) => [name, drawnValue(property, name, dice, known)]),
  );
  if (typeof schema.others === 'object' && dice.percent(70))
    object[dice.pick(CODES)] = drawnValue(schema.others, 'any-name', dice, known);
  return object;
}
