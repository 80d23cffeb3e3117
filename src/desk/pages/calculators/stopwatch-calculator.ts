import { stopwatchTest, type StopwatchTest } from '../../../core/gas/stopwatch-test';
import type { Calculator, ResultLine, Worked } from './calculator';

const VERDICTS: Record<StopwatchTest['diagnosis']['verdict'], string> = {
  healthy: 'Gas and system look right.',
  'gas-loss': 'The main accumulator has lost gas.',
  'system-leakage': 'The system leaks too much.',
  both: 'The main accumulator has lost gas, and the system leaks too much.',
  'cannot-be-told': 'It cannot be told whether gas was lost or the system leaks.',
};

export const stopwatchCalculator: Calculator = {
  id: 'stopwatch-test',
  name: 'Stopwatch test',
  lead: 'Loss of gas and leakage told apart by the times of the pressure regulator: engine idling, nothing in use.',
  inputs: [
    { name: 'chargeSeconds', label: 'Charge time, cut-in to cut-out', measure: 'seconds' },
    { name: 'idleSeconds', label: 'Idle time, cut-out to cut-in', measure: 'seconds' },
    {
      name: 'pumpDeliveryLPerMin',
      label: 'Pump delivery at idle',
      hint: 'Without it only the interval can be judged.',
      measure: 'litres-per-minute',
      optional: true,
    },
    { name: 'gasVolumeL', label: 'Gas volume of the main accumulator', measure: 'litres' },
    // about 140 and 170 bar: common practice, no published source
    { name: 'cutInBarGauge', label: 'Cut-in', measure: 'pressure', usual: 140 },
    { name: 'cutOutBarGauge', label: 'Cut-out', measure: 'pressure', usual: 170 },
    { name: 'gasTemperatureC', label: 'Temperature of the gas', measure: 'celsius', usual: 20 },
    {
      name: 'nominalPrecharge20BarGauge',
      field: 'limits.nominalPrecharge20BarGauge',
      label: 'Nominal precharge at 20 °C',
      measure: 'pressure',
    },
    // 80 % and 10 s: common practice, no published source
    {
      name: 'lowestPrechargeShare',
      field: 'limits.lowestPrechargeShare',
      label: 'Limit, as a share of nominal',
      hint: '0.8 is 80 %.',
      measure: 'number',
      usual: 0.8,
    },
    {
      name: 'shortestIntervalSeconds',
      field: 'limits.shortestIntervalSeconds',
      label: 'Shortest interval',
      measure: 'seconds',
      usual: 10,
    },
    {
      name: 'highestLeakMlPerMin',
      field: 'limits.highestLeakMlPerMin',
      label: 'Highest leak',
      hint: 'Without it the leak is told and not judged.',
      measure: 'millilitres-per-minute',
      optional: true,
    },
  ],
  choices: [],
  work(figures): Worked {
    const given = (name: string): number => figures[name] ?? NaN;
    const {
      intervalSeconds,
      dutyShare,
      figures: found,
      diagnosis,
      ...rest
    } = stopwatchTest({
      chargeSeconds: given('chargeSeconds'),
      idleSeconds: given('idleSeconds'),
      pumpDeliveryLPerMin: figures.pumpDeliveryLPerMin,
      gasVolumeL: given('gasVolumeL'),
      cutInBarGauge: given('cutInBarGauge'),
      cutOutBarGauge: given('cutOutBarGauge'),
      gasTemperatureC: given('gasTemperatureC'),
      limits: {
        nominalPrecharge20BarGauge: given('nominalPrecharge20BarGauge'),
        lowestPrechargeShare: given('lowestPrechargeShare'),
        shortestIntervalSeconds: given('shortestIntervalSeconds'),
        highestLeakMlPerMin: figures.highestLeakMlPerMin,
      },
    });
    const precharge = found?.precharge20 ?? null;
    const ofDelivery: ResultLine[] =
      found === null
        ? []
        : [
            { label: 'Leak', value: found.leakMlPerMin, measure: 'millilitres-per-minute', isMain: true },
            {
              label: 'Precharge at 20 °C, at least',
              value: precharge?.lowBarGauge ?? null,
              measure: 'pressure',
              isMain: true,
            },
            {
              label: 'Precharge at 20 °C, at most',
              value: precharge?.highBarGauge ?? null,
              measure: 'pressure',
              isMain: true,
            },
            { label: 'Usable volume', value: found.usableMl, measure: 'millilitres' },
          ];
    return {
      ...rest,
      lines: [
        ...ofDelivery,
        { label: 'Interval', value: intervalSeconds, measure: 'seconds' },
        { label: 'Share of the time that the pump charges', value: dutyShare, measure: 'share' },
      ],
      sentences: [VERDICTS[diagnosis.verdict], ...diagnosis.reasons],
    };
  },
};
