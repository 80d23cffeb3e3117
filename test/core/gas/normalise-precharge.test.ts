import fc from 'fast-check';
import { likelyFahrenheit } from '../../../src/core/gas/likely-fahrenheit';
import { normalisePrecharge } from '../../../src/core/gas/normalise-precharge';
import { standardAtmosphereBar } from '../../../src/core/gas/standard-atmosphere';
import { refusalOf } from './refusal-of';

const temperature = fc.double({ min: -40, max: 80, noNaN: true });
const gaugeBar = fc.double({ min: 1, max: 248, noNaN: true });

test('at 20 °C a reading is its own precharge', () => {
  fc.assert(
    fc.property(gaugeBar, (pressureBarGauge) => {
      const result = normalisePrecharge({ pressureBarGauge, gasTemperatureC: 20 });
      expect(Math.abs(result.precharge20BarGauge - pressureBarGauge)).toBeLessThan(1e-9);
      expect(Math.abs(result.idealPrecharge20BarGauge - pressureBarGauge)).toBeLessThan(1e-9);
    }),
  );
});

test('the precharge rises with the pressure read and falls with the temperature', () => {
  fc.assert(
    fc.property(
      gaugeBar,
      fc.double({ min: -40, max: 79, noNaN: true }),
      (pressureBarGauge, gasTemperatureC) => {
        const at = (bar: number, celsius: number): number =>
          normalisePrecharge({ pressureBarGauge: bar, gasTemperatureC: celsius }).precharge20BarGauge;
        const value = at(pressureBarGauge, gasTemperatureC);
        expect(at(pressureBarGauge + 0.5, gasTemperatureC)).toBeGreaterThan(value);
        expect(at(pressureBarGauge, gasTemperatureC + 1)).toBeLessThan(value);
        expect(Math.sign(value - pressureBarGauge)).toBe(
          Math.abs(gasTemperatureC - 20) < 1e-6
            ? Math.sign(value - pressureBarGauge)
            : Math.sign(20 - gasTemperatureC),
        );
      },
    ),
  );
});

test('the real gas moves more with the temperature than the ideal one, above a few bar', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 5, max: 160, noNaN: true }),
      temperature,
      (pressureBarGauge, gasTemperatureC) => {
        fc.pre(Math.abs(gasTemperatureC - 20) > 0.01);
        const result = normalisePrecharge({ pressureBarGauge, gasTemperatureC });
        expect(Math.abs(result.precharge20BarGauge - pressureBarGauge)).toBeGreaterThan(
          Math.abs(result.idealPrecharge20BarGauge - pressureBarGauge),
        );
      },
    ),
  );
});

test('an altitude is the ambient pressure of the standard atmosphere', () => {
  const reading = { pressureBarGauge: 60, gasTemperatureC: -5 };
  const byAltitude = normalisePrecharge({ ...reading, altitudeM: 1500 });
  const byPressure = normalisePrecharge({ ...reading, ambientBar: standardAtmosphereBar(1500) });
  expect(byAltitude).toEqual(byPressure);
  expect(byAltitude.ambientBar).toBeCloseTo(0.84556, 5);
  expect(byAltitude.precharge20BarGauge).not.toBeCloseTo(normalisePrecharge(reading).precharge20BarGauge, 3);
});

test('every answer says how, within what range and with what caution', () => {
  const result = normalisePrecharge({ pressureBarGauge: 60, gasTemperatureC: 12 });
  expect(result.method).toContain('density');
  expect(result.validity).toContain('-40 to 80 °C and 0.5 to 250 bar absolute');
  expect(result.cautions.map(({ code }) => code)).toEqual([
    'gas-temperature-settled',
    'release-pressure-first',
    'nitrogen-only',
    'advice-not-a-certificate',
  ]);
  expect(result.warnings).toEqual([]);
});

describe('Fahrenheit by mistake', () => {
  test('out of range, the remedy offers what it probably was', () => {
    expect(refusalOf(() => normalisePrecharge({ pressureBarGauge: 60, gasTemperatureC: 95 }))).toMatchObject({
      field: 'gasTemperatureC',
      message: '95 °C is outside -40 to 80 °C',
      remedy: 'if the thermometer shows Fahrenheit, 95 °F is 35.0 °C: give that',
    });
  });
  test('in range but odd, the answer warns', () => {
    const result = normalisePrecharge({ pressureBarGauge: 60, gasTemperatureC: 68 });
    expect(result.likelyFahrenheitReadingC).toBeCloseTo(20, 12);
    expect(result.warnings).toEqual([
      '68 °C is hot for a gas unit at rest. If the thermometer shows Fahrenheit, 68 °F is 20.0 °C: give that.',
    ]);
  });
  test.each([
    [45, null],
    [20, null],
    [-30, null],
    [114, null],
    [500, null],
    [NaN, null],
    [50, 10],
    [113, 45],
  ])('%d: %s', (given, meant) => {
    expect(likelyFahrenheit(given)).toEqual(meant === null ? null : expect.closeTo(meant, 10));
  });
});

test.each([
  [{ pressureBarGauge: -1.5, gasTemperatureC: 20 }, 'pressureBarGauge', 'no pressure is below zero'],
  [
    { pressureBarGauge: -0.6, gasTemperatureC: 20 },
    'pressureBarGauge',
    '0.413 bar absolute is outside 0.5 to 250',
  ],
  [{ pressureBarGauge: 249.5, gasTemperatureC: 20 }, 'pressureBarGauge', '250.513 bar absolute is outside'],
  [{ pressureBarGauge: 870, gasTemperatureC: 20 }, 'pressureBarGauge', 'outside 0.5 to 250'],
  [{ pressureBarGauge: NaN, gasTemperatureC: 20 }, 'pressureBarGauge', 'NaN'],
  [{ pressureBarGauge: 60, gasTemperatureC: -41 }, 'gasTemperatureC', '-41 °C is outside'],
  [{ pressureBarGauge: 60, gasTemperatureC: 293 }, 'gasTemperatureC', '293 °C is outside'],
  [
    { pressureBarGauge: 60, gasTemperatureC: 20, ambientBar: 1013 },
    'ambientBar',
    '1013 bar is outside 0.5 to 1.1',
  ],
  [{ pressureBarGauge: 60, gasTemperatureC: 20, ambientBar: -1 }, 'ambientBar', 'outside'],
  [{ pressureBarGauge: 60, gasTemperatureC: 20, ambientBar: 1, altitudeM: 0 }, 'ambientBar', 'both'],
  [{ pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: 9000 }, 'altitudeM', '9000 m is outside'],
  [{ pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: NaN }, 'altitudeM', 'NaN'],
])('%j is refused at %s', (reading, field, message) => {
  const refusal = refusalOf(() => normalisePrecharge(reading));
  expect(refusal.field).toBe(field);
  expect(refusal.message).toContain(message);
  expect(refusal.remedy).toMatch(/^give/);
});
