import type { FactBasis } from '../../../../core/hydraulics/layout-conclusions';
import type { UnitCondition } from './unit-condition';

// What a drawing of a fluid system consists of. Lengths are in units of the drawing, `y` counts downwards.

export interface Point {
  x: number;
  y: number;
}

export interface Box extends Point {
  width: number;
  height: number;
}

/**
 * How sure it is that something is there: somebody saw it, it follows from what was seen, nobody has established it,
 * records disagree over it, or only the maker's manual tells.
 */
export type Certainty = 'seen' | 'follows' | 'not-verified' | 'disputed' | 'manual-rules';

export type SymbolName =
  | 'reservoir'
  | 'pump'
  | 'pump-with-two-outlets'
  | 'regulator'
  | 'adjustable-regulator'
  | 'gas-unit'
  | 'safety-valve'
  | 'height-corrector'
  | 'shut-off-valve'
  | 'brake'
  | 'steering'
  | 'junction';

/** A part of the system in its place. A junction is one without a size. */
export interface Part {
  id: string;
  symbol: SymbolName;
  box: Box;
  /** what it is called */
  name: string;
  /** what is to be said of it besides */
  notes: string[];
  /** name and notes in lines that fit into the box */
  lines: TextLine[];
  certainty: Certainty;
  ports: Readonly<Record<string, Point>>;
  /** of a gas unit, or of the place where one belongs */
  unit?: DrawnUnit;
  /** recorded as not there, although it has to be */
  missing?: boolean;
}

/** Fluid gets along it from the first part to the second. */
export interface Pipe {
  from: End;
  to: End;
  points: Point[];
  certainty: Certainty;
}

export interface End {
  part: string;
  port: string;
}

export interface SystemDrawing {
  width: number;
  height: number;
  parts: Part[];
  pipes: Pipe[];
}

/** The gas unit at a position; without an id where none is on record. */
export interface DrawnUnit {
  position: string;
  gasUnitId: string | null;
  serialNumber: string | null;
  condition: UnitCondition;
  /** such as `50.2 bar at 20 °C`, in the reader's unit */
  precharge: string | null;
}

const CERTAINTIES: Record<FactBasis, Certainty> = {
  recorded: 'seen',
  follows: 'follows',
  unknown: 'not-verified',
  disputed: 'disputed',
};

export const certaintyOf = (basis: FactBasis): Certainty => CERTAINTIES[basis];

/** What is written at a part about how sure it is; nothing where somebody has seen it. */
export const CERTAINTY_WORDS: Record<Certainty, string | null> = {
  seen: null,
  follows: 'follows, not seen',
  'not-verified': 'not verified',
  disputed: 'records disagree',
  'manual-rules': "the maker's manual rules",
};

export const FONT_SIZE = 15;
export const LINE_HEIGHT = 19;
/** room that a symbol takes on the left of its box */
export const SYMBOL_WIDTH = 56;
const PADDING = 6;
// of a sans-serif letter on average, on the safe side; names are bold
const LETTER_WIDTH = FONT_SIZE * 0.56;
const BOLD_LETTER_WIDTH = FONT_SIZE * 0.64;

/** A line of the text of a part; the lines of its name are bold. */
export interface TextLine {
  text: string;
  bold: boolean;
}

/** Breaks a name and notes into lines that fit beside the symbol of a box. */
export function linesFor(name: string, notes: readonly string[], boxWidth: number): TextLine[] {
  return [name, ...notes].flatMap((sentence, index) => {
    const bold = index === 0;
    const lines: TextLine[] = [];
    for (const word of sentence.split(' ')) {
      const last = lines.at(-1);
      const longer = { text: `${last?.text ?? ''} ${word}`, bold };
      if (last !== undefined && SYMBOL_WIDTH + textWidth(longer) + PADDING <= boxWidth)
        last.text = longer.text;
      else lines.push({ text: word, bold });
    }
    return lines;
  });
}

/** How wide a line of text comes out, on the safe side. */
export const textWidth = ({ text, bold }: TextLine): number =>
  text.length * (bold ? BOLD_LETTER_WIDTH : LETTER_WIDTH);
