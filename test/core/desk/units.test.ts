import {
  distanceText,
  fromBar,
  fromKm,
  pressureText,
  toBar,
  toKm,
  typedNumber,
} from '../../../src/desk/format/units';

// NIST SP 811 (2008), appendix B.8: mile 1.609344 E+03 m (exact), psi 6.894757 E+03 Pa
it('turns units into each other by the published factors', () => {
  expect(toKm(1, 'mi')).toBe(1.609344);
  expect(toBar(1, 'psi')).toBeCloseTo(0.06894757, 8);
  expect(toBar(100, 'kPa')).toBe(1);
});

it('gives back what was typed', () => {
  for (const unit of ['bar', 'kPa', 'psi'] as const)
    expect(fromBar(toBar(62.4, unit), unit)).toBeCloseTo(62.4, 10);
  for (const unit of ['km', 'mi'] as const) expect(fromKm(toKm(61_240, unit), unit)).toBeCloseTo(61_240, 6);
});

it('writes numbers as the reader does', () => {
  expect(distanceText(61_240, 'km', 'en-GB')).toBe('61,240 km');
  expect(distanceText(61_240, 'km', 'de-DE')).toBe('61.240 km');
  expect(distanceText(61_240, 'mi', 'en-GB')).toBe('38,053 mi');
  expect(pressureText(62, 'bar', 'en-GB')).toBe('62.0 bar');
  expect(pressureText(62, 'psi', 'en-GB')).toBe('899 psi');
});

it.each([
  ['47.5', 'en-GB', 47.5],
  ['47,5', 'en-GB', 47.5],
  ['47,5', 'de-DE', 47.5],
  ['61,240', 'en-GB', 61_240],
  ['61.240', 'de-DE', 61_240],
  ['61.240', 'en-GB', 61.24],
  ['61,240', 'de-DE', 61.24],
  ['0,125', 'de-DE', 0.125],
  ['0,125', 'en-GB', 0.125],
  ['1,234,567', 'en-GB', 1_234_567],
  ['1.234.567', 'en-GB', 1_234_567],
  ['1.234,5', 'en-GB', 1_234.5],
  ['1,234.5', 'de-DE', 1_234.5],
  [' 61 240 ', 'fr-FR', 61_240],
  ["61'240", 'de-CH', 61_240],
  ['-12', 'en-GB', -12],
  ['', 'en-GB', null],
  ['12.', 'en-GB', null],
  ['1.2.3', 'en-GB', null],
  ['1,23,456', 'en-GB', null],
  ['twelve', 'en-GB', null],
  ['1e3', 'en-GB', null],
])('reads "%s" in %s as %s', (text, locale, value) => {
  expect(typedNumber(text, locale)).toBe(value);
});
