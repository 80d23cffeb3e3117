type Reviver = (key: string, value: unknown, context: { source?: string }) => unknown;

// the third parameter of a reviver is younger than the library that the compiler knows
const parse = JSON.parse as (text: string, reviver: Reviver) => unknown;

/**
 * JSON text as a value in which nothing of a number is lost. A number that a double (IEEE 754) cannot hold, such as
 * 9007199254740993, stands as `{ "$number": "9007199254740993e0" }`: two texts that differ in value differ here.
 */
export function parseExactJson(text: string): unknown {
  return parse(text, (_key, value, { source }) => {
    if (typeof value !== 'number' || source === undefined) return value;
    const meant = decimalOf(source);
    return Number.isFinite(value) && decimalOf(String(value)) === meant ? value : { $number: meant };
  });
}

const NUMBER = /^(-?)(\d+)(?:\.(\d+))?(?:[eE]([+-]?\d+))?$/;

// One text for each value: significant digits, then the power of ten.
function decimalOf(text: string): string {
  const [, sign = '', whole = '', fraction = '', exponent = '0'] = NUMBER.exec(text) ?? [];
  const digits = (whole + fraction).replace(/^0+/, '');
  const significant = digits.replace(/0+$/, '');
  if (significant === '') return '0e0';
  return `${sign}${significant}e${Number(exponent) - fraction.length + digits.length - significant.length}`;
}
