import fc from 'fast-check';
import { rideEffect } from '../../../src/core/gas/ride-effect';
import { refusalOf } from './refusal-of';

const unit = { gasVolumeL: 0.4, boreMm: 35, nominalPrecharge20BarGauge: 25, carriedMassKg: 450 };

test('the rate is the slope of the force over a small fast movement of the ideal gas', () => {
  const { idealSpring, pressureBarAbs } = rideEffect({ ...unit, precharge20BarGauge: 20 });
  const area = (Math.PI / 4) * 0.035 ** 2;
  const volume = idealSpring.gasVolumeL / 1000;
  const force = (z: number): number =>
    (pressureBarAbs * 1e5 * (volume / (volume - area * z)) ** 1.4 - 101_325) * area;
  expect((force(1e-5) - force(-1e-5)) / 2e-5 / idealSpring.rateNPerM).toBeCloseTo(1, 7);
});

test('lost gas makes the ride harder and the travel shorter; the ideal ratio is near', () => {
  fc.assert(
    fc.property(fc.double({ min: 3, max: 24.9, noNaN: true }), (precharge20BarGauge) => {
      const effect = rideEffect({ ...unit, precharge20BarGauge });
      expect(effect.frequencyRatio).toBeGreaterThan(1);
      expect(effect.bumpTravelShare).toBeLessThan(1);
      expect(effect.frequencyRatio! ** 2 * effect.bumpTravelShare!).toBeCloseTo(1, 12);
      expect(effect.idealFrequencyRatio).toBeCloseTo(
        Math.sqrt(26.01325 / (precharge20BarGauge + 1.01325)),
        12,
      );
      expect(Math.abs(effect.frequencyRatio! / effect.idealFrequencyRatio! - 1)).toBeLessThan(0.005);
      const nominal = rideEffect({ ...unit, precharge20BarGauge: 25 });
      expect(effect.spring.frequencyHz / nominal.spring.frequencyHz).toBeCloseTo(effect.frequencyRatio!, 10);
      expect(effect.bumpTravelMm / nominal.bumpTravelMm).toBeCloseTo(effect.bumpTravelShare!, 10);
    }),
  );
});

test('at the nominal precharge nothing has changed', () => {
  const effect = rideEffect({ ...unit, precharge20BarGauge: 25 });
  expect(effect).toMatchObject({ frequencyRatio: 1, bumpTravelShare: 1, idealFrequencyRatio: 1 });
  expect(effect.sentence).toBe(
    'At 450 kg the natural frequency is 1.00 times that with the nominal precharge, and 100 % of its bump travel is left.',
  );
  // the gas column over the bore: volume over area
  expect(effect.bumpTravelMm).toBeCloseTo((effect.spring.gasVolumeL * 1e6) / ((Math.PI / 4) * 35 ** 2), 9);
});

test('where the nominal unit would rest on its stop there is nothing to compare with', () => {
  const effect = rideEffect({ ...unit, nominalPrecharge20BarGauge: 80, precharge20BarGauge: 20 });
  expect(effect).toMatchObject({ frequencyRatio: null, bumpTravelShare: null, idealFrequencyRatio: null });
  expect(effect.sentence).toContain('rest on its stop');
});

test('the load may equal the precharge and not be below it, warm gas included', () => {
  const restingAt = (gasTemperatureC: number) => () =>
    rideEffect({ ...unit, precharge20BarGauge: 45.6, gasTemperatureC });
  expect(restingAt(20)().pressureBarAbs).toBeGreaterThan(46.6);
  expect(refusalOf(restingAt(40)).field).toBe('carriedMassKg');
});

test.each([
  [{ carriedMassKg: 0 }, 'carriedMassKg'],
  [{ carriedMassKg: 1e5 }, 'carriedMassKg'],
  [{ boreMm: -35 }, 'boreMm'],
  [{ gasVolumeL: 0 }, 'gasVolumeL'],
  [{ precharge20BarGauge: -1 }, 'precharge20BarGauge'],
  [{ nominalPrecharge20BarGauge: 500 }, 'nominalPrecharge20BarGauge'],
  [{ gasTemperatureC: -60 }, 'gasTemperatureC'],
])('%j is refused at %s', (over, field) => {
  expect(refusalOf(() => rideEffect({ ...unit, precharge20BarGauge: 20, ...over })).field).toBe(field);
});
