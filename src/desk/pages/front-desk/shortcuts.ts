/** The keys of the front desk, for whoever asks. Buttons show their own. */
export const SHORTCUTS: readonly (readonly [key: string, does: string])[] = [
  ['N', 'Next call: empties the page and goes to the search'],
  ['/', 'To the search, the vehicle stays'],
  ['W', 'To the work of this visit'],
  ['A', 'Take on what is worth doing, or may be done, now'],
  ['X', 'To extra work'],
  ['T', 'To the free times'],
  ['1–9', 'Choose that free time'],
  ['C', 'To who called'],
  ['H', 'Hold the chosen time'],
  ['F', 'Make the held time firm'],
  ['G', 'Give the held time back'],
  ['?', 'Show these keys'],
];

/** What a key press tells of itself. */
export interface Press {
  key: string;
  ctrlKey: boolean;
  altKey: boolean;
  metaKey: boolean;
  repeat: boolean;
  defaultPrevented: boolean;
}

/** Where it happened. */
export interface Place {
  tagName: string;
  type?: string;
  isContentEditable?: boolean;
}

const WITHOUT_TEXT = ['checkbox', 'radio', 'button', 'submit', 'reset', 'range'];

/** Whether letters go into a text there (WCAG 2.2, 2.1.4), or choose from a list. */
export function takesText({ tagName, type = 'text', isContentEditable = false }: Place): boolean {
  if (isContentEditable || tagName === 'TEXTAREA' || tagName === 'SELECT') return true;
  return tagName === 'INPUT' && !WITHOUT_TEXT.includes(type);
}

/** Whether the press is this shortcut: the key alone, once, and not as a letter of a text. */
export function isShortcut(press: Press, place: Place | null, shortcut: string): boolean {
  if (press.ctrlKey || press.altKey || press.metaKey || press.repeat || press.defaultPrevented) return false;
  if (place !== null && takesText(place)) return false;
  return press.key.toUpperCase() === shortcut.toUpperCase();
}
