import fc from 'fast-check';
import { gasStateAt, isentropicStateAt, isentropicStateAtDensity } from '../../../src/core/gas/isentrope';
import { nitrogenDensity } from '../../../src/core/gas/nitrogen-density';
import { nitrogenPressure } from '../../../src/core/gas/nitrogen-pressure';
import { nitrogenProperties } from '../../../src/core/gas/nitrogen-properties';
import { nitrogenState } from '../../../src/core/gas/nitrogen-state';
import { refusalOf } from './refusal-of';

const kelvin = fc.double({ min: 233.15, max: 353.15, noNaN: true });
const barAbs = fc.double({ min: 1, max: 250, noNaN: true });

test('the density is the one that has the pressure', () => {
  fc.assert(
    fc.property(kelvin, barAbs, (temperatureK, bar) => {
      const back = nitrogenPressure(temperatureK, nitrogenDensity(temperatureK, bar));
      expect(Math.abs(back / bar - 1)).toBeLessThan(1e-11);
    }),
    { numRuns: 2000 },
  );
});

test('so it is where only a fast expansion leads, and beyond the range', () => {
  const cold = fc.double({ min: 150, max: 233, noNaN: true });
  const far = fc.double({ min: 0.01, max: 600, noNaN: true });
  fc.assert(
    fc.property(cold, far, (temperatureK, bar) => {
      const back = nitrogenPressure(temperatureK, nitrogenDensity(temperatureK, bar));
      expect(Math.abs(back / bar - 1)).toBeLessThan(1e-10);
    }),
    { numRuns: 2000 },
  );
});

test('a density does not depend on what was asked before', () => {
  fc.assert(
    fc.property(kelvin, barAbs, kelvin, barAbs, (temperatureK, bar, otherK, otherBar) => {
      const first = nitrogenDensity(temperatureK, bar);
      nitrogenDensity(otherK, otherBar);
      nitrogenProperties(otherK, 3);
      expect(nitrogenDensity(temperatureK, bar)).toBe(first);
    }),
  );
});

test('the density rises with the pressure and falls with the temperature', () => {
  fc.assert(
    fc.property(kelvin, fc.double({ min: 1, max: 249, noNaN: true }), (temperatureK, bar) => {
      const density = nitrogenDensity(temperatureK, bar);
      expect(nitrogenDensity(temperatureK, bar + 1)).toBeGreaterThan(density);
      expect(nitrogenDensity(temperatureK + 1, bar)).toBeLessThan(density);
    }),
  );
});

test('a fast change keeps the entropy, there and back, by pressure and by density', () => {
  const start = fc.tuple(fc.double({ min: 273, max: 333, noNaN: true }), barAbs);
  fc.assert(
    fc.property(start, fc.double({ min: 0.5, max: 1.5, noNaN: true }), ([temperatureK, bar], ratio) => {
      const from = gasStateAt(temperatureK, bar);
      const to = isentropicStateAt(from, bar * ratio, 'bar');
      const entropy = (state: typeof from) =>
        nitrogenProperties(state.temperatureK, state.densityMolPerDm3).entropyJPerMolK;
      expect(Math.abs(entropy(to) - entropy(from))).toBeLessThan(1e-9);
      expect(Math.sign(to.temperatureK - temperatureK)).toBe(Math.sign(ratio - 1));
      expect(Math.abs(isentropicStateAt(to, bar, 'bar').temperatureK - temperatureK)).toBeLessThan(1e-7);
      const byDensity = isentropicStateAtDensity(from, to.densityMolPerDm3, 'bar');
      expect(Math.abs(byDensity.temperatureK - to.temperatureK)).toBeLessThan(1e-7);
      expect(Math.abs(byDensity.barAbs - to.barAbs)).toBeLessThan(1e-7);
    }),
  );
});

test('speed of sound and isentropic exponent are the slope of the isentrope', () => {
  fc.assert(
    fc.property(kelvin, fc.double({ min: 2, max: 249, noNaN: true }), (temperatureK, bar) => {
      const at = gasStateAt(temperatureK, bar);
      const [down, up] = [0.999, 1.001].map((ratio) => isentropicStateAt(at, bar * ratio, 'bar'));
      const properties = nitrogenProperties(temperatureK, at.densityMolPerDm3);
      const exponent = Math.log(1.001 / 0.999) / Math.log(up!.densityMolPerDm3 / down!.densityMolPerDm3);
      expect(exponent / properties.isentropicExponent).toBeCloseTo(1, 5);
      // w² = n p / rho, with bar to Pa and mol/dm³ to kg/m³
      const squared = (properties.isentropicExponent * bar * 1e5) / (at.densityMolPerDm3 * 28.01348);
      expect(properties.speedOfSoundMPerS ** 2 / squared).toBeCloseTo(1, 9);
    }),
  );
});

test('an expansion that nearly liquefies the gas is refused', () => {
  const from = gasStateAt(233.15, 200);
  const refusal = refusalOf(() => isentropicStateAt(from, 5, 'lowBarGauge'));
  expect(refusal.field).toBe('lowBarGauge');
  expect(refusal.message).toContain('below 150 K');
});

test.each([
  [-40.01, 100, 'gasTemperatureC', '-40 to 80 °C'],
  [80.01, 100, 'gasTemperatureC', '-40 to 80 °C'],
  [NaN, 100, 'gasTemperatureC', '-40 to 80 °C'],
  [20, 0.49, 'pressureBarAbs', '0.5 to 250 bar absolute'],
  [20, 250.1, 'pressureBarAbs', '0.5 to 250 bar absolute'],
  [20, -3, 'pressureBarAbs', 'below zero'],
  [20, NaN, 'pressureBarAbs', '0.5 to 250 bar absolute'],
  [20, Infinity, 'pressureBarAbs', '0.5 to 250 bar absolute'],
])('%d °C and %d bar: %s refused with the limit', (temperatureC, bar, field, limit) => {
  const refusal = refusalOf(() => nitrogenState(temperatureC, bar));
  expect(refusal.field).toBe(field);
  expect(refusal.message).toContain(limit);
  expect(refusal.remedy).toContain('give');
});

test('the limits themselves are answered', () => {
  expect(nitrogenState(-40, 250).densityMolPerDm3).toBeGreaterThan(nitrogenState(80, 250).densityMolPerDm3);
  expect(nitrogenState(80, 1).compressibility).toBeCloseTo(1, 3);
});
