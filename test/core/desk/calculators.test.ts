import {
  addressOf,
  answerOf,
  choicesIn,
  figuresIn,
  type Calculator,
  type ResultLine,
} from '../../../src/desk/pages/calculators/calculator';
import { CALCULATORS } from '../../../src/desk/pages/calculators/gas-calculators';
import {
  calculatedDeliveredVolume,
  calculatedRideEffect,
  calculatedStopwatchTest,
  calculatedStoredApplications,
  normalisedPrecharge,
} from '../../../src/modules/calculations/calculated';

const calculator = (id: string): Calculator => CALCULATORS.find((each) => each.id === id)!;
function worked(id: string, address: string) {
  const asked = new URLSearchParams(address);
  const answer = answerOf(calculator(id), figuresIn(asked, calculator(id)), choicesIn(asked, calculator(id)));
  if (answer.kind !== 'worked') throw new Error(JSON.stringify(answer));
  return answer.worked;
}
const values = (lines: readonly ResultLine[]) => lines.map(({ value }) => value);

// What the page works out is what the API answers: the same figures, words and cautions.
describe('agrees with the API', () => {
  it('on a precharge', () => {
    const { lines, method, validity, cautions, sentences } = worked(
      'precharge',
      'pressureBarGauge=60&gasTemperatureC=5&altitudeM=300',
    );
    const answer = normalisedPrecharge({ pressureBarGauge: 60, gasTemperatureC: 5, altitudeM: 300 });
    const { precharge20BarGauge, idealPrecharge20BarGauge, warnings } = answer.result;
    expect(values(lines)).toEqual([precharge20BarGauge, idealPrecharge20BarGauge]);
    expect({ method, validity, sentences }).toEqual({
      method: answer.method,
      validity: answer.validity,
      sentences: warnings,
    });
    expect(cautions).toEqual(answer.cautions);
  });

  it('on a delivered volume', () => {
    const body = { gasVolumeL: 0.4, precharge20BarGauge: 62, lowBarGauge: 140, highBarGauge: 170 };
    const { lines } = worked('delivered-volume', addressOf(body, {}));
    const { isothermalL, fastL, fastEndTemperatureC, ideal } = calculatedDeliveredVolume(body).result;
    expect(values(lines)).toEqual([
      fastL * 1000,
      isothermalL * 1000,
      fastEndTemperatureC,
      ideal.fastL * 1000,
      ideal.isothermalL * 1000,
    ]);
  });

  it('on a stopwatch test', () => {
    const body = { chargeSeconds: 4, idleSeconds: 36, pumpDeliveryLPerMin: 0.6, gasVolumeL: 0.4 };
    const { lines, sentences } = worked(
      'stopwatch-test',
      addressOf({ ...body, nominalPrecharge20BarGauge: 62 }, {}),
    );
    const { result } = calculatedStopwatchTest({
      ...body,
      cutInBarGauge: 140,
      cutOutBarGauge: 170,
      limits: { nominalPrecharge20BarGauge: 62 },
    });
    expect(values(lines)).toEqual([
      result.figures?.leakMlPerMin,
      result.figures?.precharge20?.lowBarGauge,
      result.figures?.precharge20?.highBarGauge,
      result.figures?.usableMl,
      result.intervalSeconds,
      result.dutyShare,
    ]);
    expect(sentences.slice(1)).toEqual(result.diagnosis.reasons);
  });

  it('on stored applications', () => {
    const unit = { gasVolumeL: 0.4, precharge20BarGauge: 62 };
    const { lines, sentences } = worked(
      'stored-applications',
      'frontGasVolumeL=0.4&frontPrecharge20BarGauge=62&frontFullApplicationMl=5&rearGasVolumeL=0.4' +
        '&rearPrecharge20BarGauge=62&rearFullApplicationMl=3&rearUnits=2&rearFedBy=rear-suspension',
    );
    const { result } = calculatedStoredApplications({
      cutInBarGauge: 140,
      warningBarGauge: 90,
      front: { units: [unit], fullApplicationMl: 5 },
      rear: { units: [unit, unit], fullApplicationMl: 3, fedBy: 'rear-suspension' },
    });
    expect(values(lines).slice(0, 2)).toEqual([result.front.fullApplications, result.rear.fullApplications]);
    expect(sentences).toEqual([result.front.sentence, result.rear.sentence]);
  });

  it('on the ride', () => {
    const body = {
      gasVolumeL: 0.4,
      precharge20BarGauge: 16,
      nominalPrecharge20BarGauge: 20,
      carriedMassKg: 400,
      boreMm: 35,
    };
    const { lines, sentences } = worked('ride-effect', addressOf(body, {}));
    const { result } = calculatedRideEffect(body);
    expect(values(lines).slice(0, 3)).toEqual([
      result.frequencyRatio,
      result.bumpTravelShare,
      result.bumpTravelMm,
    ]);
    expect(sentences).toEqual([result.sentence]);
  });
});

it('puts a refusal at the input, also where the calculation calls it otherwise', () => {
  const stored = calculator('stored-applications');
  const figures = {
    ...figuresIn(new URLSearchParams(), stored),
    frontGasVolumeL: 0,
    frontPrecharge20BarGauge: 62,
    frontFullApplicationMl: 5,
    rearGasVolumeL: 0.4,
    rearPrecharge20BarGauge: 62,
    rearFullApplicationMl: 3,
  };
  expect(answerOf(stored, figures, {})).toMatchObject({ kind: 'refused', input: 'frontGasVolumeL' });
});

it('says what is still needed, and reads nothing into an empty or broken address', () => {
  const precharge = calculator('precharge');
  const broken = figuresIn(new URLSearchParams('pressureBarGauge=&gasTemperatureC=warm'), precharge);
  expect(answerOf(precharge, broken, {})).toEqual({
    kind: 'open',
    missing: ['Pressure as read', 'Temperature of the gas'],
  });
});
