/** A name of the contract as words, such as `Minutes before` for `minutesBefore`. */
export function wordsOf(name: string): string {
  const words = name
    .replace(/[-_.]/g, ' ')
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .toLowerCase();
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}

/** A value of a record as people read it. */
export function shownValue(value: unknown): string {
  if (value === null || value === undefined || value === '') return 'nothing';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'string') return `“${value}”`;
  if (typeof value === 'number') return String(value);
  if (Array.isArray(value) && value.every((each) => typeof each === 'string' || typeof each === 'number'))
    return value.length === 0 ? 'nothing' : value.join(', ');
  return JSON.stringify(value);
}
