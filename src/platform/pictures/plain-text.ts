// what XML 1.0 does not allow, half of a surrogate pair included; DEL, which iCalendar forbids too
const NOT_TEXT = /[^\t\n\r\u{20}-\u{7E}\u{80}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu;

const FITS_A_PICTURE = 80;

/** A text from outside on one line, without what XML and iCalendar cannot hold, cut where it is too long. */
export function plainText(text: string, longest = FITS_A_PICTURE): string {
  const characters = Array.from(text.replace(NOT_TEXT, '\u{FFFD}').replace(/\s+/g, ' ').trim());
  return characters.length <= longest ? characters.join('') : `${characters.slice(0, longest - 1).join('')}…`;
}
