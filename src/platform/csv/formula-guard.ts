// What a spreadsheet may take for a formula: OWASP, "CSV Injection", list of characters; and the full-width forms of
// the signs, which some spreadsheets read like the plain ones.
const FORMULA = /^'*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/;
const GUARDED = /^'+[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/;
const NEGATIVE_NUMBER = /^-\d+(\.\d+)?(e[+-]?\d+)?$/i;

/**
 * A text as the cell of a CSV file that a spreadsheet shows instead of running it: one that begins with `= + - @`, a tab
 * or a line break gets an apostrophe in front. A plain negative number stays one. A text that looks as if it had been
 * guarded already gets one more apostrophe, so that `unguardFormula` gives every text back as it was.
 */
export function guardFormula(text: string): string {
  return FORMULA.test(text) && !NEGATIVE_NUMBER.test(text) ? `'${text}` : text;
}

/** The text that `guardFormula` was given. */
export function unguardFormula(cell: string): string {
  return GUARDED.test(cell) ? cell.slice(1) : cell;
}
