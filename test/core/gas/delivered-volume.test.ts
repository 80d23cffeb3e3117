import fc from 'fast-check';
import { deliveredVolume } from '../../../src/core/gas/delivered-volume';
import { storedApplications } from '../../../src/core/gas/stored-applications';
import { refusalOf } from './refusal-of';

const unit = { gasVolumeL: 0.4, precharge20BarGauge: 62 };
const celsius = fc.double({ min: 0, max: 40, noNaN: true });

test('slow discharges add up, and so do fast ones that follow at once', () => {
  const pressures = fc
    .tuple(...[0, 1, 2].map(() => fc.double({ min: 80, max: 180, noNaN: true })))
    .map((three) => three.sort((a, b) => a - b))
    .filter(([low, middle, high]) => middle! - low! > 0.1 && high! - middle! > 0.1);
  fc.assert(
    fc.property(pressures, celsius, ([low, middle, high], gasTemperatureC) => {
      const volume = (lowBarGauge: number, highBarGauge: number) =>
        deliveredVolume({ ...unit, gasTemperatureC, lowBarGauge, highBarGauge });
      const whole = volume(low!, high!);
      const upper = volume(middle!, high!);
      const parts = volume(low!, middle!).isothermalL + upper.isothermalL;
      expect(Math.abs(whole.isothermalL - parts)).toBeLessThan(1e-11);
      // a fast discharge that starts warm again gives more
      expect(volume(low!, middle!).fastL + upper.fastL).toBeGreaterThan(whole.fastL);
    }),
  );
});

test('fast gives less than slow, and the ideal formula promises more than fast', () => {
  const span = fc
    .tuple(fc.double({ min: 65, max: 170, noNaN: true }), fc.double({ min: 1, max: 60, noNaN: true }))
    .map(([low, more]) => [low, low + more] as const);
  fc.assert(
    fc.property(span, celsius, ([lowBarGauge, highBarGauge], gasTemperatureC) => {
      // the gas at 40 °C rests at about 68 bar
      fc.pre(lowBarGauge > 70);
      const volume = deliveredVolume({ ...unit, gasTemperatureC, lowBarGauge, highBarGauge });
      expect(volume.fastL).toBeLessThan(volume.isothermalL);
      expect(volume.ideal.fastL).toBeGreaterThan(volume.fastL);
      expect(volume.fastEndTemperatureC).toBeLessThan(gasTemperatureC);
      expect(volume.fastEffectiveExponent).toBeGreaterThan(1.4);
      expect(volume.isBottomed).toBe(false);
    }),
  );
});

test('volume goes with the size of the unit and with the amount of gas', () => {
  const at = (gasVolumeL: number) =>
    deliveredVolume({ ...unit, gasVolumeL, lowBarGauge: 100, highBarGauge: 140 });
  expect(at(0.8).fastL / at(0.4).fastL).toBeCloseTo(2, 12);
  const more = deliveredVolume({ ...unit, precharge20BarGauge: 70, lowBarGauge: 100, highBarGauge: 140 });
  expect(more.isothermalL).toBeGreaterThan(at(0.4).isothermalL);
});

describe('a precharge above the low pressure', () => {
  test('the unit has bottomed: its precharge is the low end', () => {
    const bottomed = deliveredVolume({ ...unit, lowBarGauge: 40, highBarGauge: 140 });
    const fromPrecharge = deliveredVolume({ ...unit, lowBarGauge: 62, highBarGauge: 140 });
    expect(bottomed.isBottomed).toBe(true);
    expect(bottomed.lowEndBarAbs).toBeCloseTo(63.01325, 9);
    expect(bottomed.isothermalL).toBeCloseTo(fromPrecharge.isothermalL, 12);
    expect(bottomed.fastL).toBeCloseTo(fromPrecharge.fastL, 12);
    expect(bottomed.ideal.isothermalL).toBeCloseTo(fromPrecharge.ideal.isothermalL, 12);
    // all that it can give: its gas volume less what is left of it at the high pressure
    expect(bottomed.isothermalL).toBeLessThan(0.4);
  });

  test('warm gas rests at a higher pressure', () => {
    const at = (gasTemperatureC: number) =>
      deliveredVolume({ ...unit, gasTemperatureC, lowBarGauge: 64, highBarGauge: 140 }).isBottomed;
    expect(at(20)).toBe(false);
    expect(at(40)).toBe(true);
  });

  test.each([139.9, 140, 150])('a unit charged to %d bar gives next to nothing below 140', (precharge) => {
    const volume = deliveredVolume({
      ...unit,
      precharge20BarGauge: precharge,
      lowBarGauge: 100,
      highBarGauge: 140,
    });
    expect(volume.isBottomed).toBe(true);
    expect(volume.isothermalL).toBeGreaterThanOrEqual(0);
    expect(volume.isothermalL).toBeLessThan(0.001);
    expect(volume.ideal.fastL).toBeLessThan(0.001);
    if (precharge > 139.9) {
      expect(volume).toMatchObject({ isothermalL: 0, fastL: 0, fastEffectiveExponent: null });
      expect(volume.fastEndTemperatureC).toBe(20);
    }
  });
});

test.each([
  [{ ...unit, lowBarGauge: 140, highBarGauge: 140 }, 'lowBarGauge'],
  [{ ...unit, lowBarGauge: 170, highBarGauge: 140 }, 'lowBarGauge'],
  [{ ...unit, lowBarGauge: -5, highBarGauge: 140 }, 'lowBarGauge'],
  [{ ...unit, lowBarGauge: 100, highBarGauge: 300 }, 'highBarGauge'],
  [{ ...unit, gasVolumeL: 0, lowBarGauge: 100, highBarGauge: 140 }, 'gasVolumeL'],
  [{ ...unit, gasVolumeL: Infinity, lowBarGauge: 100, highBarGauge: 140 }, 'gasVolumeL'],
  [{ ...unit, precharge20BarGauge: -2, lowBarGauge: 100, highBarGauge: 140 }, 'precharge20BarGauge'],
  [{ ...unit, gasTemperatureC: 90, lowBarGauge: 100, highBarGauge: 140 }, 'gasTemperatureC'],
  [
    { gasVolumeL: 1, precharge20BarGauge: 1, gasTemperatureC: -40, lowBarGauge: 3, highBarGauge: 240 },
    'lowBarGauge',
  ],
])('%j is refused at %s', (input, field) => {
  expect(refusalOf(() => deliveredVolume(input)).field).toBe(field);
});

describe('stored applications', () => {
  const input = {
    cutInBarGauge: 140,
    warningBarGauge: 90,
    front: { units: [unit], fullApplicationMl: 6 },
    rear: {
      units: [{ gasVolumeL: 0.4, precharge20BarGauge: 40 }],
      fullApplicationMl: 4,
      fedBy: 'rear-brake-accumulator' as const,
    },
  };

  test('each circuit from its own store, counted down', () => {
    const { front, rear, cautions } = storedApplications(input);
    const expected = deliveredVolume({ ...unit, lowBarGauge: 90, highBarGauge: 140 });
    expect(front.deliveredMl).toBeCloseTo(1000 * expected.fastL, 9);
    expect(front.fullApplications).toBe(Math.floor(front.deliveredMl / 6));
    expect(front.fedBy).toBe('main-accumulator');
    expect(rear.deliveredMl).toBeLessThan(front.deliveredMl);
    expect(rear.sentence).toMatch(
      /^The rear brakes are fed by the rear brake accumulator: [\d.]+ ml from 140 down to 90 bar/,
    );
    expect(cautions.map(({ code }) => code)).toEqual([
      'planning-estimate-no-certificate',
      'advice-not-a-certificate',
    ]);
  });

  test('fed by the rear suspension it says so, and that the load decides', () => {
    const { rear, cautions } = storedApplications({
      ...input,
      rear: { ...input.rear, units: [...input.rear.units, ...input.rear.units], fedBy: 'rear-suspension' },
    });
    expect(rear.sentence).toContain('the rear suspension units');
    expect(rear.deliveredMl).toBeCloseTo(2 * storedApplications(input).rear.deliveredMl, 9);
    expect(cautions.map(({ code }) => code)).toContain('rear-suspension-pressure-follows-load');
  });

  test('lost gas costs applications; so does a precharge above the warning pressure', () => {
    const front = (precharge20BarGauge: number) =>
      storedApplications({
        ...input,
        front: { units: [{ gasVolumeL: 0.4, precharge20BarGauge }], fullApplicationMl: 6 },
      }).front;
    expect(front(30).fullApplications).toBeLessThan(front(62).fullApplications);
    expect(front(110).isBottomed).toBe(true);
    expect(front(110).sentence).toContain('above the warning pressure');
    expect(front(110).deliveredMl).toBeLessThan(front(89).deliveredMl);
  });

  test.each([
    [{ ...input, warningBarGauge: 150 }, 'warningBarGauge'],
    [{ ...input, cutInBarGauge: 400 }, 'cutInBarGauge'],
    [{ ...input, front: { ...input.front, fullApplicationMl: 0 } }, 'front.fullApplicationMl'],
    [{ ...input, rear: { ...input.rear, units: [] } }, 'rear.units'],
    [
      { ...input, rear: { ...input.rear, units: [unit, { ...unit, gasVolumeL: -1 }] } },
      'rear.units[1].gasVolumeL',
    ],
  ])('bad input %# is refused at %s', (bad, field) => {
    expect(refusalOf(() => storedApplications(bad)).field).toBe(field);
  });
});
