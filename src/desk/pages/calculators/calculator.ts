import type { GasCaution } from '../../../core/gas/gas-cautions';
import { InputError } from '../../../core/shared/input-error';

/** What a figure counts. Pressures are kept in bar and shown in the reader's unit. */
export type Measure =
  | 'pressure'
  | 'celsius'
  | 'litres'
  | 'millilitres'
  | 'litres-per-minute'
  | 'millilitres-per-minute'
  | 'seconds'
  | 'kilograms'
  | 'millimetres'
  | 'metres'
  | 'newtons-per-metre'
  | 'hertz'
  | 'share'
  | 'number';

export interface CalculatorInput {
  /** in the address; carries the unit in which it is kept there */
  name: string;
  /** what the calculation calls it, for its refusals; left out, the name */
  field?: string;
  label: string;
  hint?: string;
  measure: Measure;
  /** stands there at the beginning, and means the same where the address says nothing */
  usual?: number;
  /** the calculation does without it */
  optional?: boolean;
}

/** One of a few answers instead of a figure. */
export interface CalculatorChoice {
  name: string;
  label: string;
  options: readonly { value: string; label: string }[];
}

export interface ResultLine {
  label: string;
  /** null where there is none */
  value: number | null;
  measure: Measure;
  /** the figure to be used; the others stand beside it */
  isMain?: boolean;
  /** by the textbook formula, to compare with */
  isIdeal?: boolean;
}

/** What a calculation says; method, validity and cautions are those of the calculation itself. */
export interface Worked {
  lines: ResultLine[];
  sentences: readonly string[];
  method: string;
  validity: string;
  cautions: readonly GasCaution[];
}

export type Figures = Readonly<Record<string, number | undefined>>;
export type Choices = Readonly<Record<string, string>>;

export interface Calculator {
  /** in the address */
  id: string;
  name: string;
  lead: string;
  inputs: readonly CalculatorInput[];
  choices: readonly CalculatorChoice[];
  /** @throws InputError */
  work: (figures: Figures, choices: Choices) => Worked;
}

export type Answer =
  | { kind: 'worked'; worked: Worked }
  /** something has to be entered first */
  | { kind: 'open'; missing: string[] }
  | { kind: 'refused'; input: string | null; detail: string; remedy: string };

/** Works something out as far as the inputs go. */
export function answerOf({ inputs, work }: Calculator, figures: Figures, choices: Choices): Answer {
  const missing = inputs
    .filter(({ name, optional }) => optional !== true && figures[name] === undefined)
    .map(({ label }) => label);
  if (missing.length > 0) return { kind: 'open', missing };
  try {
    return { kind: 'worked', worked: work(figures, choices) };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const input = inputs.find(({ name, field }) => (field ?? name) === error.field)?.name ?? null;
    return { kind: 'refused', input, detail: error.message, remedy: error.remedy };
  }
}

/** The inputs that an address carries, with what is usual for the rest. */
export function figuresIn(address: URLSearchParams, { inputs }: Pick<Calculator, 'inputs'>): Figures {
  return Object.fromEntries(
    inputs.map(({ name, usual }) => {
      const text = address.get(name);
      const value = text === null || text === '' ? NaN : Number(text);
      return [name, text === null ? usual : Number.isFinite(value) ? value : undefined];
    }),
  );
}

export function choicesIn(address: URLSearchParams, { choices }: Pick<Calculator, 'choices'>): Choices {
  return Object.fromEntries(
    choices.map(({ name, options }) => {
      const known = options.find(({ value }) => value === address.get(name)) ?? options[0];
      return [name, known?.value ?? ''];
    }),
  );
}

/** The address that carries these inputs. */
export function addressOf(figures: Figures, choices: Choices): string {
  const given = Object.entries(figures).map(([name, value]) => [
    name,
    value === undefined ? '' : String(value),
  ]);
  return new URLSearchParams([...(given as [string, string][]), ...Object.entries(choices)]).toString();
}
