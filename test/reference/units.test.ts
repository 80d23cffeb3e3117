import fc from 'fast-check';
import {
  barFromAtmospheres,
  barFromKgfPerCm2,
  barFromPsi,
  celsiusFromFahrenheit,
  kelvinFromCelsius,
  kmFromMiles,
  milesFromKm,
  psiFromBar,
} from '../../src/core/shared/units-of-measure';

// Source: definitions of the units, figures printed by GNU units 2.22
test.each([
  ['1 mile in km', kmFromMiles(1), 1.609344],
  ['62137 miles in km', kmFromMiles(62137), 99999.808128],
  ['100000 km in miles', milesFromKm(100_000), 62137.11922373339],
  ['1 psi in bar', barFromPsi(1), 0.0689475729316836],
  ['1 atm in bar', barFromAtmospheres(1), 1.01325],
  ['1 kgf/cm2 in bar', barFromKgfPerCm2(1), 0.980665],
  ['0 degC in K', kelvinFromCelsius(0), 273.15],
  // fixed points of the Fahrenheit scale
  ['32 degF in degC', celsiusFromFahrenheit(32), 0],
  ['212 degF in degC', celsiusFromFahrenheit(212), 100],
  ['-40 degF in degC', celsiusFromFahrenheit(-40), -40],
])('%s', (_, actual, expected) => {
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(1e-14 * Math.max(1, Math.abs(expected)));
});

test('there and back again is the same to the last digits', () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-6, max: 1e9, noNaN: true }), (value) => {
      const close = (result: number) => {
        expect(Math.abs(result - value)).toBeLessThanOrEqual(4e-16 * value);
      };
      close(milesFromKm(kmFromMiles(value)));
      close(psiFromBar(barFromPsi(value)));
    }),
    { numRuns: 2000 },
  );
});
