import { parse } from 'csv-parse/sync';
import { type TarnValleyFleet } from '../../../src/cli/demo/tarn-valley/tarn-valley-fleet';

export type Row = Record<string, string>;

/** Faults whose line no strict parser takes. */
export const MALFORMED: readonly string[] = ['wrong-column-count', 'bare-quote'];

/** Text of a file of the demo fleet. */
export function textOf(demo: TarnValleyFleet, name: string): string {
  return demo.files.find((file) => file.name === name)!.text;
}

/** Parses a file strictly, without the two lines of the readings that no strict parser takes. */
export function rowsOf(demo: TarnValleyFleet, name: string): Row[] {
  let text = textOf(demo, name);
  if (name === 'odometer-readings.csv') {
    const bad = demo.truth.faults.filter(({ fault }) => MALFORMED.includes(fault)).map(({ line }) => line);
    text = text
      .split('\n')
      .filter((_, index) => !bad.includes(index + 1))
      .join('\n');
  }
  return parse(text, { columns: true, bom: true });
}
