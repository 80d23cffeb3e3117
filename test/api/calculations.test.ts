import type {
  DeliveredVolumeDto,
  NormalisedPrechargeDto,
  RideEffectDto,
  StopwatchTestDto,
  StoredApplicationsDto,
} from '../../src/modules/calculations/dto/calculation.dto';
import { NORMALISED } from '../reference/nitrogen-tables';
import { addKey, apiClient, asOwner, type ApiClient, type Refusal } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let api: ApiClient;
let organisationId: string;
beforeAll(async () => {
  test = await startTestApp();
  const organisation = await test.organisation('Tarn Valley Patient Transport');
  ({ organisationId } = organisation);
  // the workshop, with a key that sees no fleet at all
  api = apiClient(test, await addKey(test, organisation, 'technician', []));
});
afterAll(() => test.close());

const AMBIENT_BAR = 1.01325;
const gauge = (barAbs: number): number => barAbs - AMBIENT_BAR;
const ask = <T>(name: string, body: object): Promise<T> =>
  api.ok<T>('post', `/v1/calculations/${name}`, { body });
const refusal = async (name: string, body: object) => {
  const answer = await api.call<Refusal>('post', `/v1/calculations/${name}`, { body });
  return { status: answer.status, errors: answer.body.errors };
};

describe('normalised precharge', () => {
  // reference equation, evaluated outside: see test/reference/nitrogen-tables.ts
  it('agrees with the reference equation in the last digit of the table', async () => {
    const rows = NORMALISED.filter((_, index) => index % 9 === 0);
    for (const [gasTemperatureC, pressureBarGauge, ideal, real] of rows) {
      const { result } = await ask<NormalisedPrechargeDto>('normalised-precharge', {
        pressureBarGauge,
        gasTemperatureC,
      });
      expect([result.idealPrecharge20BarGauge.toFixed(4), result.precharge20BarGauge.toFixed(4)]).toEqual([
        ideal,
        real,
      ]);
    }
    expect(rows.length).toBeGreaterThan(4);
  });

  it('carries inputs with defaults, units, method, validity and cautions', async () => {
    const body = { pressureBarGauge: 60, gasTemperatureC: 5 };
    const answer = await ask<NormalisedPrechargeDto>('normalised-precharge', body);
    expect(answer.inputs).toEqual({ ...body, ambientBar: AMBIENT_BAR, altitudeM: null });
    expect(answer.units.precharge20BarGauge).toContain('at 20 °C');
    expect(answer.method).toContain('density of nitrogen');
    expect(answer.validity).toContain('250 bar absolute');
    expect(answer.cautions.map(({ code }) => code)).toContain('nitrogen-only');
    expect(answer.result.warnings).toEqual([]);
  });

  it('takes the altitude in place of the ambient pressure', async () => {
    const body = { pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: 1_500 };
    const { inputs, result } = await ask<NormalisedPrechargeDto>('normalised-precharge', body);
    // ISO 2533: 845.56 hPa at 1,500 m
    expect(inputs.ambientBar).toBeCloseTo(0.84556, 5);
    expect(result.pressureBarAbs).toBeCloseTo(60.84556, 5);
  });

  it('offers the Fahrenheit reading where the temperature looks like one', async () => {
    const { result } = await ask<NormalisedPrechargeDto>('normalised-precharge', {
      pressureBarGauge: 60,
      gasTemperatureC: 68,
    });
    expect(result.likelyFahrenheitReadingC).toBeCloseTo(20, 9);
    expect(result.warnings).toEqual([expect.stringContaining('68 °F is 20.0 °C')]);
    expect(await refusal('normalised-precharge', { pressureBarGauge: 60, gasTemperatureC: 95 })).toEqual({
      status: 422,
      errors: [
        {
          pointer: '#/gasTemperatureC',
          detail: '95 °C is outside -40 to 80 °C',
          remedy: 'if the thermometer shows Fahrenheit, 95 °F is 35.0 °C: give that',
        },
      ],
    });
  });
});

it('delivered volume: the real gas, and the ideal one for comparison', async () => {
  const body = {
    gasVolumeL: 1,
    precharge20BarGauge: gauge(63),
    lowBarGauge: gauge(146),
    highBarGauge: gauge(171),
  };
  const { inputs, result, units } = await ask<DeliveredVolumeDto>('delivered-volume', body);
  // reference equation, evaluated outside: see test/reference/accumulators.test.ts
  expect(result.isothermalL).toBeCloseTo(0.059468, 6);
  expect(result.fastL).toBeCloseTo(0.034717, 6);
  expect(result.ideal.isothermalL).toBeCloseTo(0.063086, 6);
  expect(result.isBottomed).toBe(false);
  expect(inputs).toEqual({ ...body, gasTemperatureC: 20, ambientBar: AMBIENT_BAR, altitudeM: null });
  expect(units.fastL).toBe('l');
});

describe('stopwatch test', () => {
  const regulator = {
    gasVolumeL: 0.4,
    cutInBarGauge: gauge(146),
    cutOutBarGauge: gauge(171),
    limits: { nominalPrecharge20BarGauge: 62 },
  };
  // 0.059468 l from 1 l (reference equation): the times of a leak of 100 ml/min on a pump of 1.2 l/min
  const times = { idleSeconds: (60 * 23.7872) / 100, chargeSeconds: (60 * 23.7872) / (1_200 - 100) };

  it('finds the leak and the precharge that made the times', async () => {
    const { inputs, result } = await ask<StopwatchTestDto>('stopwatch-test', {
      ...regulator,
      ...times,
      pumpDeliveryLPerMin: 1.2,
    });
    expect(result.figures?.leakMlPerMin).toBeCloseTo(100, 6);
    expect(result.figures?.usableMl).toBeCloseTo(23.7872, 6);
    expect(result.figures?.precharge20?.lowBarGauge).toBeCloseTo(gauge(63), 2);
    expect(inputs.limits).toEqual({
      nominalPrecharge20BarGauge: 62,
      lowestPrechargeShare: 0.8,
      shortestIntervalSeconds: 10,
      highestLeakMlPerMin: null,
    });
    expect(result.diagnosis.verdict).toBe('cannot-be-told');
  });

  it('says what it is told by its limits', async () => {
    const limits = { ...regulator.limits, highestLeakMlPerMin: 60 };
    const { result } = await ask<StopwatchTestDto>('stopwatch-test', {
      ...regulator,
      ...times,
      limits,
      pumpDeliveryLPerMin: 1.2,
    });
    expect(result.diagnosis.verdict).toBe('system-leakage');
    expect(result.diagnosis.reasons.at(-1)).toBe(
      'The system leaks 100.0 ml/min, above the limit of 60 ml/min.',
    );
  });

  it('without the pump delivery tells the interval and the share only', async () => {
    const { result } = await ask<StopwatchTestDto>('stopwatch-test', {
      ...regulator,
      chargeSeconds: 2,
      idleSeconds: 6,
    });
    expect(result).toMatchObject({
      intervalSeconds: 8,
      dutyShare: 0.25,
      figures: null,
      diagnosis: { verdict: 'cannot-be-told', isIntervalShort: true },
    });
  });

  it.each([
    [{ chargeSeconds: 0 }, '#/chargeSeconds'],
    [{ cutInBarGauge: 180 }, '#/cutInBarGauge'],
    [
      { limits: { nominalPrecharge20BarGauge: 62, lowestPrechargeShare: 80 } },
      '#/limits/lowestPrechargeShare',
    ],
    [{ limits: { nominalPrecharge20BarGauge: 62, lowestShare: 0.8 } }, '#/limits/lowestShare'],
    [{ limits: null }, '#/limits'],
  ])('refuses %j by its name', async (over, pointer) => {
    const { status, errors } = await refusal('stopwatch-test', { ...regulator, ...times, ...over });
    expect(status).toBe(422);
    expect(errors?.map((error) => error.pointer)).toContain(pointer);
    expect(errors?.every(({ detail, remedy }) => detail !== '' && remedy !== '')).toBe(true);
  });
});

describe('stored applications', () => {
  const unit = { gasVolumeL: 0.4, precharge20BarGauge: gauge(63) };
  const body = {
    cutInBarGauge: gauge(171),
    warningBarGauge: gauge(80),
    front: { units: [unit], fullApplicationMl: 8 },
    rear: { units: [unit, unit], fullApplicationMl: 8, fedBy: 'rear-suspension' },
  };

  it('counts what is left in full', async () => {
    const { inputs, result, cautions } = await ask<StoredApplicationsDto>('stored-applications', body);
    // reference equation, evaluated outside: see test/reference/accumulators.test.ts
    expect(result.front.deliveredMl).toBeCloseTo(84.6221, 3);
    expect([result.front.fullApplications, result.rear.fullApplications]).toEqual([10, 21]);
    expect(inputs.gasTemperatureC).toBe(20);
    expect(cautions.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['planning-estimate-no-certificate', 'rear-suspension-pressure-follows-load']),
    );
  });

  it('names the unit of a list that is wrong', async () => {
    const rear = { ...body.rear, units: [unit, { ...unit, precharge20BarGauge: 300 }] };
    const { status, errors } = await refusal('stored-applications', { ...body, rear });
    expect([status, errors?.[0]?.pointer]).toEqual([422, '#/rear/units/1/precharge20BarGauge']);
    expect(errors?.[0]?.detail).toContain('outside 0.5 to 250 bar absolute');
  });

  it('asks for a unit in every circuit', async () => {
    const front = { ...body.front, units: [] };
    const { status, errors } = await refusal('stored-applications', { ...body, front });
    expect([status, errors?.[0]?.pointer]).toEqual([422, '#/front/units']);
  });
});

describe('ride effect', () => {
  const unit = { gasVolumeL: 0.4, boreMm: 35, nominalPrecharge20BarGauge: 20, precharge20BarGauge: 20 };

  it('gives rate and frequency', async () => {
    const { result } = await ask<RideEffectDto>('ride-effect', { ...unit, carriedMassKg: 300 });
    // worked by hand with the ideal gas: see test/reference/accumulators.test.ts
    expect(result.pressureBarAbs).toBeCloseTo(31.591735, 6);
    expect(result.idealSpring.rateNPerM).toBeCloseTo(15_387.6998, 4);
    expect(result.idealSpring.frequencyHz).toBeCloseTo(1.139846, 6);
    expect(result.frequencyRatio).toBeCloseTo(1, 12);
  });

  it('refuses a load below the precharge', async () => {
    const body = { ...unit, carriedMassKg: 300, precharge20BarGauge: 55 };
    const { status, errors } = await refusal('ride-effect', body);
    expect([status, errors?.[0]?.pointer]).toEqual([422, '#/carriedMassKg']);
    expect(errors?.[0]?.detail).toContain('load below precharge');
  });
});

describe('every calculation', () => {
  it.each([
    ['a negative absolute pressure', { pressureBarGauge: -2, gasTemperatureC: 20 }, '#/pressureBarGauge'],
    ['a pressure beyond the equation', { pressureBarGauge: 260, gasTemperatureC: 20 }, '#/pressureBarGauge'],
    [
      'altitude and ambient pressure at once',
      { pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: 10, ambientBar: 1 },
      '#/ambientBar',
    ],
    ['an altitude in feet', { pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: 9_000 }, '#/altitudeM'],
    ['a text', { pressureBarGauge: '60', gasTemperatureC: 20 }, '#/pressureBarGauge'],
    ['nothing', { gasTemperatureC: 20 }, '#/pressureBarGauge'],
    ['null', { pressureBarGauge: 60, gasTemperatureC: 20, altitudeM: null }, '#/altitudeM'],
  ])('refuses %s', async (_, body, pointer) => {
    const { status, errors } = await refusal('normalised-precharge', body);
    expect(status).toBe(422);
    expect(errors?.[0]?.pointer).toBe(pointer);
    expect(errors?.[0]?.remedy).not.toBe('');
  });

  it('stores nothing, and asks for a key', async () => {
    const body = { pressureBarGauge: 60, gasTemperatureC: 20 };
    await api.ok('post', '/v1/calculations/normalised-precharge', {
      body,
      idempotencyKey: 'once-and-for-all',
    });
    expect(
      await asOwner(
        test,
        organisationId,
        `SELECT 1 FROM idempotency_records UNION ALL SELECT 1 FROM audit_entries`,
      ),
    ).toEqual([]);
    const nobody = apiClient(test, 'no key at all');
    expect((await nobody.call('post', '/v1/calculations/normalised-precharge', { body })).status).toBe(401);
  });
});
