import type { Schemas } from '../../../api/client';
import { TypedFault } from '../parts/faults';
import { numberOrNull, textOrNull, typedWords } from '../parts/typed';

export type Rule = Schemas['RuleDto'];
export type RuleKind = NonNullable<Rule['kind']>;
export type RuleScope = NonNullable<Rule['scope']>;

type FieldKind = 'text' | 'number' | 'words';
type Json = Record<string, unknown>;

const RECURRING = ['recurring'] as const;

interface RuleField {
  is: FieldKind;
  /** only rules of these kinds have it */
  kinds?: readonly RuleKind[];
  /** only rules of this scope have it */
  scope?: RuleScope;
}

// The usual fields by their places in the rule. What is not here is written as JSON, and kept by the form.
const FIELDS = {
  code: { is: 'text' },
  task: { is: 'text' },
  title: { is: 'text' },
  source: { is: 'text' },
  positions: { is: 'words', scope: 'unit' },
  'appliesTo/fluids': { is: 'words' },
  'appliesTo/dutyClasses': { is: 'words' },
  'appliesTo/unitTypes': { is: 'words', scope: 'unit' },
  'appliesTo/vehicleAgeMonths/from': { is: 'number' },
  'appliesTo/vehicleAgeMonths/until': { is: 'number' },
  everyMonths: { is: 'number', kinds: RECURRING },
  everyDays: { is: 'number', kinds: RECURRING },
  everyKm: { is: 'number', kinds: RECURRING },
  everyEngineHours: { is: 'number', kinds: RECURRING },
  'first/months': { is: 'number', kinds: RECURRING },
  'first/days': { is: 'number', kinds: RECURRING },
  'first/km': { is: 'number', kinds: RECURRING },
  'first/engineHours': { is: 'number', kinds: RECURRING },
  unitAgeMonths: { is: 'number', kinds: RECURRING, scope: 'unit' },
  'prechargeLimit/shareOfNominal': { is: 'number', kinds: RECURRING, scope: 'unit' },
  'prechargeLimit/dueAtProbability': { is: 'number', kinds: RECURRING, scope: 'unit' },
  'campaign/byOn': { is: 'text', kinds: ['campaign'] },
  'campaign/byOdometerKm': { is: 'number', kinds: ['campaign'] },
  'campaign/issuedOn': { is: 'text', kinds: ['campaign'] },
  'followUp/afterTask': { is: 'text', kinds: ['follow-up'] },
  'followUp/months': { is: 'number', kinds: ['follow-up'] },
  'followUp/days': { is: 'number', kinds: ['follow-up'] },
  'followUp/km': { is: 'number', kinds: ['follow-up'] },
  'followUp/engineHours': { is: 'number', kinds: ['follow-up'] },
  'tolerance/earlyDays': { is: 'number' },
  'tolerance/lateDays': { is: 'number' },
  'tolerance/earlyKm': { is: 'number' },
  'tolerance/lateKm': { is: 'number' },
  labourMinutes: { is: 'number' },
  competences: { is: 'words' },
  bayKind: { is: 'text' },
  satisfies: { is: 'words' },
  doBefore: { is: 'words' },
} as const satisfies Record<string, RuleField>;

export type RulePlace = keyof typeof FIELDS;
const PLACES = Object.keys(FIELDS) as RulePlace[];

/** Choices that a rule makes one way where it says nothing. */
const DEFAULTS = {
  kind: 'recurring',
  scope: 'vehicle',
  whichever: 'first',
  cadence: 'from-completion',
  unitAgeSince: 'manufacture',
} as const;
type ChoicePlace = keyof typeof DEFAULTS;
const CHOICES = Object.keys(DEFAULTS) as ChoicePlace[];

export type RuleValues = Record<RulePlace | ChoicePlace, string> & {
  safetyCritical: boolean;
  /** written as JSON rather than in fields */
  asJson: boolean;
  json: string;
  /** with everything that has no field */
  rule: Rule;
};

export const NEW_RULE: Rule = { code: '', task: '' };

export function ruleValuesOf(rule: Rule): RuleValues {
  const texts = Object.fromEntries([
    ...PLACES.map((place) => [place, shown(valueAt(rule as unknown as Json, place))]),
    ...CHOICES.map((place) => [place, rule[place] ?? DEFAULTS[place]]),
  ]) as Record<RulePlace | ChoicePlace, string>;
  return { ...texts, safetyCritical: rule.safetyCritical ?? false, asJson: false, json: '', rule };
}

/** Whether rules of this kind and scope have the field. */
export function hasField(place: RulePlace, { kind, scope }: Pick<RuleValues, 'kind' | 'scope'>): boolean {
  const field: RuleField = FIELDS[place];
  return (
    (field.kinds === undefined || field.kinds.includes(kind as RuleKind)) &&
    (field.scope === undefined || field.scope === scope)
  );
}

/**
 * The rule that was entered, in fields or as JSON.
 *
 * @throws TypedFault where the JSON cannot be read
 */
export function ruleOf(values: RuleValues, locale: string): Rule {
  if (values.asJson) return parsedRule(values.json);
  const rule = structuredClone(values.rule) as unknown as Json;
  for (const place of PLACES)
    put(rule, place, hasField(place, values) ? typed(values[place], FIELDS[place].is, locale) : null);
  for (const place of CHOICES) put(rule, place, isDefault(place, values) ? null : values[place]);
  put(rule, 'safetyCritical', values.safetyCritical ? true : null);
  return rule as unknown as Rule;
}

export function parsedRule(json: string): Rule {
  try {
    const rule: unknown = JSON.parse(json);
    if (typeof rule === 'object' && rule !== null && !Array.isArray(rule)) return rule as Rule;
  } catch (error) {
    throw new TypedFault('json', `This cannot be read as JSON: ${(error as Error).message}`);
  }
  throw new TypedFault('json', 'A rule is one JSON object: it begins with { and ends with }.');
}

/** The rule as it is shown to whoever writes it as JSON. */
export const shownJson = (rule: Rule): string => JSON.stringify(rule, null, 2);

// the age counts for units alone; everything else is left out where the rule need not say it
const isDefault = (place: ChoicePlace, values: RuleValues): boolean =>
  values[place] === DEFAULTS[place] ||
  (place === 'unitAgeSince' && (!hasField('unitAgeMonths', values) || values.unitAgeMonths === ''));

function typed(text: string, is: FieldKind, locale: string): unknown {
  if (is === 'number') return numberOrNull(text, locale);
  if (is === 'text') return textOrNull(text);
  const words = typedWords(text);
  return words.length === 0 ? null : words;
}

function shown(value: unknown): string {
  if (value === null || value === undefined) return '';
  if (Array.isArray(value)) return value.join(', ');
  return typeof value === 'string' ? value : JSON.stringify(value);
}

function valueAt(rule: Json, place: string): unknown {
  return place.split('/').reduce<unknown>((at, name) => (at as Json | null | undefined)?.[name], rule);
}

/** Sets a value; null takes it away, and with it what it was the last part of. */
function put(rule: Json, place: string, value: unknown): void {
  const [name = '', ...deeper] = place.split('/');
  if (deeper.length === 0) {
    if (value === null) Reflect.deleteProperty(rule, name);
    else rule[name] = value;
    return;
  }
  const inner = (rule[name] ?? {}) as Json;
  put(inner, deeper.join('/'), value);
  if (Object.keys(inner).length === 0) Reflect.deleteProperty(rule, name);
  else rule[name] = inner;
}
