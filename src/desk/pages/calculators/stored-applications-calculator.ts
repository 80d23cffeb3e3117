import { storedApplications } from '../../../core/gas/stored-applications';
import type { Calculator, CalculatorInput, Worked } from './calculator';

/** One kind of unit feeds a circuit; on an axle there are two of them. */
function circuitInputs(circuit: 'front' | 'rear', store: string): CalculatorInput[] {
  const Circuit = circuit === 'front' ? 'Front' : 'Rear';
  return [
    {
      name: `${circuit}GasVolumeL`,
      field: `${circuit}.units[0].gasVolumeL`,
      label: `${Circuit}: gas volume of ${store}`,
      measure: 'litres',
    },
    {
      name: `${circuit}Precharge20BarGauge`,
      field: `${circuit}.units[0].precharge20BarGauge`,
      label: `${Circuit}: its precharge at 20 °C`,
      measure: 'pressure',
    },
    {
      name: `${circuit}FullApplicationMl`,
      field: `${circuit}.fullApplicationMl`,
      label: `${Circuit}: fluid of one full application`,
      measure: 'millilitres',
    },
  ];
}

export const storedApplicationsCalculator: Calculator = {
  id: 'stored-applications',
  name: 'Stored applications',
  lead: 'How many full brake applications are stored with the pump stopped.',
  inputs: [
    // about 140 bar, and 80 to 100: common practice, no published source
    { name: 'cutInBarGauge', label: 'Cut-in', measure: 'pressure', usual: 140 },
    { name: 'warningBarGauge', label: 'Low-pressure warning', measure: 'pressure', usual: 90 },
    { name: 'gasTemperatureC', label: 'Temperature of the gas', measure: 'celsius', usual: 20 },
    ...circuitInputs('front', 'the main accumulator'),
    ...circuitInputs('rear', 'the unit'),
    { name: 'rearUnits', label: 'Rear: number of such units', measure: 'number', usual: 1 },
  ],
  choices: [
    {
      name: 'rearFedBy',
      label: 'The rear brakes are fed by',
      options: [
        { value: 'rear-brake-accumulator', label: 'the rear brake accumulator' },
        { value: 'rear-suspension', label: 'the rear suspension' },
      ],
    },
  ],
  work(figures, choices): Worked {
    const given = (name: string): number => figures[name] ?? NaN;
    const circuit = (name: string, units: number) => ({
      units: Array.from({ length: units }, () => ({
        gasVolumeL: given(`${name}GasVolumeL`),
        precharge20BarGauge: given(`${name}Precharge20BarGauge`),
      })),
      fullApplicationMl: given(`${name}FullApplicationMl`),
    });
    const units = Math.min(10, Math.max(0, Math.round(given('rearUnits'))));
    const { front, rear, ...rest } = storedApplications({
      cutInBarGauge: given('cutInBarGauge'),
      warningBarGauge: given('warningBarGauge'),
      gasTemperatureC: given('gasTemperatureC'),
      front: circuit('front', 1),
      rear: {
        ...circuit('rear', units),
        fedBy: choices.rearFedBy === 'rear-suspension' ? 'rear-suspension' : 'rear-brake-accumulator',
      },
    });
    return {
      ...rest,
      lines: [
        { label: 'Front, full applications', value: front.fullApplications, measure: 'number', isMain: true },
        { label: 'Rear, full applications', value: rear.fullApplications, measure: 'number', isMain: true },
        { label: 'Front, fluid given', value: front.deliveredMl, measure: 'millilitres' },
        { label: 'Rear, fluid given', value: rear.deliveredMl, measure: 'millilitres' },
        { label: 'Front, gas afterwards', value: front.endTemperatureC, measure: 'celsius' },
        { label: 'Rear, gas afterwards', value: rear.endTemperatureC, measure: 'celsius' },
      ],
      sentences: [front.sentence, rear.sentence],
    };
  },
};
