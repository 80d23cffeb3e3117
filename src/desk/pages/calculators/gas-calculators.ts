import { deliveredVolume } from '../../../core/gas/delivered-volume';
import { normalisePrecharge } from '../../../core/gas/normalise-precharge';
import { rideEffect } from '../../../core/gas/ride-effect';
import type { Calculator, CalculatorInput, Figures, Worked } from './calculator';
import { stopwatchCalculator } from './stopwatch-calculator';
import { storedApplicationsCalculator } from './stored-applications-calculator';

const GAS_TEMPERATURE: CalculatorInput = {
  name: 'gasTemperatureC',
  label: 'Temperature of the gas',
  measure: 'celsius',
  usual: 20,
};
const GAS_VOLUME: CalculatorInput = {
  name: 'gasVolumeL',
  label: 'Gas volume of the unit, without fluid',
  measure: 'litres',
};
const PRECHARGE: CalculatorInput = {
  name: 'precharge20BarGauge',
  label: 'Precharge at 20 °C',
  measure: 'pressure',
};
/** Where the gauge is read. */
const ALTITUDE: CalculatorInput = {
  name: 'altitudeM',
  label: 'Height above sea level',
  hint: 'Left out, the air is that at sea level.',
  measure: 'metres',
  optional: true,
};

// the page asks for every figure that is not optional before it calls
const given = (figures: Figures, name: string): number => figures[name] ?? NaN;

const precharge: Calculator = {
  id: 'precharge',
  name: 'Precharge to 20 °C',
  lead: 'What a precharge read at another temperature would read at 20 °C.',
  inputs: [
    { name: 'pressureBarGauge', label: 'Pressure as read', measure: 'pressure' },
    { name: 'gasTemperatureC', label: GAS_TEMPERATURE.label, measure: 'celsius' },
    ALTITUDE,
  ],
  choices: [],
  work(figures): Worked {
    const { precharge20BarGauge, idealPrecharge20BarGauge, warnings, ...rest } = normalisePrecharge({
      pressureBarGauge: given(figures, 'pressureBarGauge'),
      gasTemperatureC: given(figures, 'gasTemperatureC'),
      altitudeM: figures.altitudeM,
    });
    return {
      ...rest,
      lines: [
        { label: 'Precharge at 20 °C', value: precharge20BarGauge, measure: 'pressure', isMain: true },
        { label: 'Precharge at 20 °C', value: idealPrecharge20BarGauge, measure: 'pressure', isIdeal: true },
      ],
      sentences: warnings,
    };
  },
};

const volume: Calculator = {
  id: 'delivered-volume',
  name: 'Delivered volume',
  lead: 'What a gas unit gives between two pressures, slowly and at once.',
  inputs: [
    GAS_VOLUME,
    PRECHARGE,
    { name: 'highBarGauge', label: 'From', measure: 'pressure' },
    { name: 'lowBarGauge', label: 'Down to', measure: 'pressure' },
    GAS_TEMPERATURE,
    ALTITUDE,
  ],
  choices: [],
  work(figures): Worked {
    const { isothermalL, fastL, fastEndTemperatureC, isBottomed, ideal, ...rest } = deliveredVolume({
      gasVolumeL: given(figures, 'gasVolumeL'),
      precharge20BarGauge: given(figures, 'precharge20BarGauge'),
      highBarGauge: given(figures, 'highBarGauge'),
      lowBarGauge: given(figures, 'lowBarGauge'),
      gasTemperatureC: given(figures, 'gasTemperatureC'),
      altitudeM: figures.altitudeM,
    });
    return {
      ...rest,
      lines: [
        { label: 'At once', value: fastL * 1000, measure: 'millilitres', isMain: true },
        { label: 'Slowly', value: isothermalL * 1000, measure: 'millilitres', isMain: true },
        {
          label: 'Temperature of the gas afterwards, at once',
          value: fastEndTemperatureC,
          measure: 'celsius',
        },
        { label: 'At once', value: ideal.fastL * 1000, measure: 'millilitres', isIdeal: true },
        { label: 'Slowly', value: ideal.isothermalL * 1000, measure: 'millilitres', isIdeal: true },
      ],
      sentences: isBottomed
        ? ['The precharge is above the lower pressure: the unit gives nothing below its precharge.']
        : [],
    };
  },
};

const ride: Calculator = {
  id: 'ride-effect',
  name: 'Ride effect',
  lead: 'How the precharge of a suspension unit changes the ride under one load.',
  inputs: [
    GAS_VOLUME,
    PRECHARGE,
    { name: 'nominalPrecharge20BarGauge', label: 'Nominal precharge at 20 °C', measure: 'pressure' },
    { name: 'carriedMassKg', label: 'Mass that rests on the unit', measure: 'kilograms' },
    { name: 'boreMm', label: 'Bore of its cylinder', measure: 'millimetres' },
    GAS_TEMPERATURE,
    ALTITUDE,
  ],
  choices: [],
  work(figures): Worked {
    const worked = rideEffect({
      gasVolumeL: given(figures, 'gasVolumeL'),
      precharge20BarGauge: given(figures, 'precharge20BarGauge'),
      nominalPrecharge20BarGauge: given(figures, 'nominalPrecharge20BarGauge'),
      carriedMassKg: given(figures, 'carriedMassKg'),
      boreMm: given(figures, 'boreMm'),
      gasTemperatureC: given(figures, 'gasTemperatureC'),
      altitudeM: figures.altitudeM,
    });
    const { spring, idealSpring, method, validity, cautions } = worked;
    return {
      method,
      validity,
      cautions,
      lines: [
        {
          label: 'Natural frequency, against nominal',
          value: worked.frequencyRatio,
          measure: 'number',
          isMain: true,
        },
        {
          label: 'Bump travel left, of nominal',
          value: worked.bumpTravelShare,
          measure: 'share',
          isMain: true,
        },
        { label: 'Bump travel left', value: worked.bumpTravelMm, measure: 'millimetres' },
        { label: 'Spring rate', value: spring.rateNPerM, measure: 'newtons-per-metre' },
        { label: 'Natural frequency', value: spring.frequencyHz, measure: 'hertz' },
        { label: 'Spring rate', value: idealSpring.rateNPerM, measure: 'newtons-per-metre', isIdeal: true },
        { label: 'Natural frequency', value: idealSpring.frequencyHz, measure: 'hertz', isIdeal: true },
      ],
      sentences: [worked.sentence],
    };
  },
};

/** The calculators of the workshop; each works in the page, so that it needs no connection. */
export const CALCULATORS: readonly Calculator[] = [
  precharge,
  volume,
  stopwatchCalculator,
  storedApplicationsCalculator,
  ride,
];
