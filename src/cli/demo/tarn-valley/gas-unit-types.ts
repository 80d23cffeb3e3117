import type { UnitRole } from '../../../core/hydraulics/unit-positions';

/** A type of gas unit as `POST /v1/gas-unit-types` takes it. */
export interface UnitTypeBody {
  externalKey: string;
  code: string;
  name: string;
  roles: UnitRole[];
  nominalPrecharge20BarGauge: number;
  gasVolumeCm3: number;
  workingPressureLowBarGauge: number;
  workingPressureHighBarGauge: number;
  damperIntegral: boolean;
  note: string | null;
}

/** A type, with what is true of its units and not told. */
export interface DemoUnitType {
  body: UnitTypeBody;
  /** Units of one group may stand in for each other. */
  group: 'front' | 'rear-light' | 'rear-heavy' | 'main' | 'rear-brake';
  serialPrefix: string;
  /** Share of the type among the units of its group. */
  share: number;
  /** Fall of the logarithm of the absolute precharge in a year: median over the units and its spread (log). */
  logLossPerYear: { median: number; logSpread: number };
}

const SUSPENSION = { roles: ['suspension' as const], gasVolumeCm3: 400, damperIntegral: true, note: null };

/** Invented types with invented codes. One of them has a bad record, which only the tests tell. */
export const DEMO_UNIT_TYPES: readonly DemoUnitType[] = [
  {
    body: {
      ...SUSPENSION,
      externalKey: 'UTY-1',
      code: 'suspension-front-55',
      name: 'Front suspension unit, 55 bar',
      nominalPrecharge20BarGauge: 55,
      workingPressureLowBarGauge: 60,
      workingPressureHighBarGauge: 150,
    },
    group: 'front',
    serialPrefix: 'F',
    share: 0.7,
    logLossPerYear: { median: 0.031, logSpread: 0.35 },
  },
  {
    body: {
      ...SUSPENSION,
      externalKey: 'UTY-2',
      code: 'suspension-front-55-b',
      name: 'Front suspension unit, 55 bar, second make',
      nominalPrecharge20BarGauge: 55,
      workingPressureLowBarGauge: 60,
      workingPressureHighBarGauge: 150,
    },
    group: 'front',
    serialPrefix: 'B',
    share: 0.3,
    logLossPerYear: { median: 0.095, logSpread: 0.3 },
  },
  {
    body: {
      ...SUSPENSION,
      externalKey: 'UTY-3',
      code: 'suspension-rear-26',
      name: 'Rear suspension unit, 26 bar',
      nominalPrecharge20BarGauge: 26,
      workingPressureLowBarGauge: 30,
      workingPressureHighBarGauge: 120,
    },
    group: 'rear-light',
    serialPrefix: 'R',
    share: 1,
    logLossPerYear: { median: 0.028, logSpread: 0.35 },
  },
  {
    body: {
      ...SUSPENSION,
      externalKey: 'UTY-4',
      code: 'suspension-rear-35',
      name: 'Rear suspension unit for a heavy body, 35 bar',
      nominalPrecharge20BarGauge: 35,
      gasVolumeCm3: 500,
      workingPressureLowBarGauge: 40,
      workingPressureHighBarGauge: 140,
    },
    group: 'rear-heavy',
    serialPrefix: 'H',
    share: 1,
    logLossPerYear: { median: 0.03, logSpread: 0.35 },
  },
  {
    body: {
      externalKey: 'UTY-5',
      code: 'main-accumulator-62',
      name: 'Main accumulator, 62 bar',
      roles: ['main-accumulator'],
      nominalPrecharge20BarGauge: 62,
      gasVolumeCm3: 400,
      workingPressureLowBarGauge: 140,
      workingPressureHighBarGauge: 170,
      damperIntegral: false,
      note: null,
    },
    group: 'main',
    serialPrefix: 'M',
    share: 1,
    logLossPerYear: { median: 0.038, logSpread: 0.4 },
  },
  {
    body: {
      externalKey: 'UTY-6',
      code: 'rear-brake-accumulator-40',
      name: 'Rear brake accumulator, 40 bar',
      roles: ['rear-brake-accumulator'],
      nominalPrecharge20BarGauge: 40,
      gasVolumeCm3: 400,
      workingPressureLowBarGauge: 80,
      workingPressureHighBarGauge: 170,
      damperIntegral: false,
      note: null,
    },
    group: 'rear-brake',
    serialPrefix: 'K',
    share: 1,
    logLossPerYear: { median: 0.031, logSpread: 0.4 },
  },
];

/** Below this share of its nominal precharge a unit is recharged. */
export const RECHARGE_SHARE = 0.8;
