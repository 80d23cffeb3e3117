import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { DemandDto, DemandFigureDto, MonthlyDemandDto } from '../../modules/demand/dto/demand.dto';
import type { PrechargeForecastDto } from '../../modules/gas-unit-events/dto/precharge-forecast.dto';
import type { GasUnitDto } from '../../modules/gas-units/dto/gas-unit.dto';
import type { HeldVehicleDto } from '../../modules/holds/dto/vehicle-hold.dto';
import type { PrechargeModelDto } from '../../modules/precharge-models/dto/precharge-model.dto';
import type { RecordedSystemTestDto } from '../../modules/system-tests/dto/system-test.dto';
import type { ApiClient } from '../api-client';
import { textTable } from '../text-table';
import { type Coverage, forecastCoverage } from './forecast-coverage';
import { heading } from './heading';
import type { GasUnitFleet, GasUnitFleetTruth, GasUnitTruth } from './tarn-valley/gas-unit-fleet';
import { vehicleOfKey } from './vehicle-of-key';

/** A unit with its forecast, and what is true of it. */
interface ForecastUnit {
  unit: GasUnitDto;
  forecast: PrechargeForecastDto;
  truth: GasUnitTruth;
}

/** What workshop and planner get of the gas units. */
export async function showGasUnits(
  api: ApiClient,
  fleet: GasUnitFleet,
  todayOn: CalendarDate,
): Promise<void> {
  await showStopwatchTest(api, fleet);
  const units = await forecasts(api, fleet.truth);
  await showTrend(api, units, fleet.truth, todayOn);
  showModels(await api.getAll<PrechargeModelDto>('/v1/precharge-models'));
  showDemand(await api.get<DemandDto>('/v1/demand?months=12'));
  showCoverage(units, todayOn);
  showFlagged(units, fleet.truth);
  showHolds(await api.getAll<HeldVehicleDto>('/v1/holds?limit=500'));
}

async function showStopwatchTest(api: ApiClient, { systemTests }: GasUnitFleet): Promise<void> {
  heading('A technician with a stopwatch: is it the gas or a leak?');
  const { vehicleKey, doneAt, doneBy, ...told } = systemTests.stopwatchTest;
  const vehicle = await vehicleOfKey(api, vehicleKey);
  const test = await api.send<RecordedSystemTestDto>('POST', `/v1/vehicles/${vehicle.id}/system-tests`, {
    task: 'regulator-cycle-test',
    doneAt,
    doneBy,
    chargeSeconds: told.chargeSeconds,
    idleSeconds: told.idleSeconds,
    pumpDeliveryLPerMin: told.pumpDeliveryLPerMin,
    cutInBarGauge: told.cutInBarGauge,
    cutOutBarGauge: told.cutOutBarGauge,
    gasTemperatureC: told.gasTemperatureC,
  });
  console.log(
    `${vehicle.registrationMark}, ${doneAt.slice(0, 10)}, ${doneBy}, engine idling, nothing in use, mean of ten cycles:\n` +
      `  the pump charges for ${told.chargeSeconds.toFixed(2)} s from ${told.cutInBarGauge} to ${told.cutOutBarGauge} bar, ` +
      `then idles for ${told.idleSeconds.toFixed(2)} s; it gives ${told.pumpDeliveryLPerMin} l/min.`,
  );
  const { verdict } = test.findings as { verdict: string };
  console.log(`The answer: ${verdict.replaceAll('-', ' ')}, the test has ${test.outcome}.`);
  for (const reason of test.outcomeReasons) console.log(`  ${reason}`);
  for (const { title, dueOn } of test.raises) console.log(`  Now owed: ${title}, ${dueOn ?? 'no date'}.`);
}

const AT_ONCE = 8;

async function forecasts(api: ApiClient, { units }: GasUnitFleetTruth): Promise<ForecastUnit[]> {
  const list = await api.getAll<GasUnitDto>('/v1/gas-units?limit=500');
  const inUse = list.filter(({ place }) => place !== null && place.state !== 'scrapped');
  const told: ForecastUnit[] = [];
  for (let first = 0; first < inUse.length; first += AT_ONCE) {
    const next = inUse.slice(first, first + AT_ONCE).map(async (unit) => {
      const truth = units.get(unit.externalKey ?? '');
      if (truth === undefined) throw new Error(`the demo did not hand over unit ${unit.serialNumber}`);
      return {
        unit,
        truth,
        forecast: await api.get<PrechargeForecastDto>(`/v1/gas-units/${unit.id}/forecast`),
      };
    });
    told.push(...(await Promise.all(next)));
  }
  return told;
}

const TESTS_SHOWN = 7;

async function showTrend(
  api: ApiClient,
  units: readonly ForecastUnit[],
  { badTypeCode }: GasUnitFleetTruth,
  todayOn: CalendarDate,
): Promise<void> {
  heading('The trend of one unit');
  const [chosen] = units
    .filter(({ unit, forecast: { observations, medianOn, latestOn } }) => {
      const isCharged = observations.slice(0, -2).some(({ kind }) => kind === 'charge');
      const hasDates = medianOn !== null && medianOn > todayOn && latestOn !== null;
      return unit.unitTypeCode === badTypeCode && unit.place?.state === 'fitted' && isCharged && hasDates;
    })
    .sort((a, b) => b.forecast.observations.length - a.forecast.observations.length);
  if (chosen === undefined) throw new Error('the demo fleet has no unit of a kind that it was made to have');
  const { unit, forecast } = chosen;
  const { limit, present, lossPerYear } = forecast;
  const place = `${unit.place?.registrationMark ?? ''}, ${(unit.place?.position ?? '').replaceAll('-', ' ')}`;
  console.log(`Unit ${unit.serialNumber}, ${unit.unitTypeCode}, on ${place}\n`);
  console.log(
    textTable(
      ['day', 'what', 'bar at 20 °C', 'outcome'],
      forecast.observations
        .slice(-TESTS_SHOWN)
        .map(({ doneOn, kind, precharge20BarGauge, outcome, used }) => [
          doneOn,
          kind.replace('-', ' '),
          precharge20BarGauge.toFixed(1),
          used ? outcome : 'left out',
        ]),
    ),
  );
  if (present === null || lossPerYear === null) throw new Error('a unit with tests has no estimate');
  const percent = (share: number): string => (100 * share).toFixed(1);
  console.log(
    `\n  Today it has ${present.median20BarGauge.toFixed(1)} bar (${present.low20BarGauge.toFixed(1)} to ` +
      `${present.high20BarGauge.toFixed(1)}) and loses ${percent(lossPerYear.share)} % a year ` +
      `(${percent(lossPerYear.low)} to ${percent(lossPerYear.high)} %).\n` +
      `  Below ${limit.limit20BarGauge.toFixed(1)} bar, where it has to be recharged: ${forecast.earliestOn ?? '-'} at the earliest (10 %), ` +
      `${forecast.medianOn ?? '-'} in the middle, ${forecast.latestOn ?? '-'} at the latest (90 %).`,
  );
  const chances = forecast.probabilityBelowLimit.map(
    ({ on, probability }) => `${on}: ${(100 * probability).toFixed(0)} %`,
  );
  console.log(`  How likely it is below that on a day: ${chances.join(', ')}`);
  const file = join(mkdtempSync(join(tmpdir(), 'precharge-demo-')), `unit-${unit.serialNumber}.svg`);
  writeFileSync(file, await api.getText(`/v1/gas-units/${unit.id}/trend.svg`));
  console.log(`  The picture: ${file}`);
}

function showModels(models: readonly PrechargeModelDto[]): void {
  heading('What the types of units have taught');
  console.log(
    textTable(
      ['type', 'loses a year', 'spread', 'learnt from', 'of later tests within their 80 % interval'],
      models.map(({ typeCode, origin, parameters, learning }) => [
        typeCode,
        `${(100 * -Math.expm1(-parameters.logLossPerYearMean)).toFixed(1)} %`,
        `${(100 * parameters.logLossPerYearSd).toFixed(1)} %`,
        origin === 'learnt' ? `${learning?.units ?? 0} units` : 'common practice',
        learning === null || learning.coverage80 === null
          ? '-'
          : `${(100 * learning.coverage80).toFixed(0)} % of ${learning.trials}`,
      ]),
    ),
  );
}

function showDemand({ months, probability, cannotBeTold }: DemandDto): void {
  heading('What the coming months will ask for');
  console.log(
    `Expected, and from - to what it will be with ${100 * probability} % probability, each month by itself.`,
  );
  const task = (month: MonthlyDemandDto, name: string): string =>
    figure(month.tasks.find((each) => each.task === name));
  const consumable = (month: MonthlyDemandDto, item: string, decimals: number): string =>
    figure(
      month.consumables.find((each) => each.item === item),
      decimals,
    );
  console.log(
    textTable(
      [
        'month',
        'recharges',
        'precharge tests',
        'nitrogen m³',
        'unit seals',
        'fluid l',
        'filter cleanings',
        'labour h',
      ],
      months.map((month) => [
        month.month,
        task(month, 'recharge'),
        task(month, 'precharge-test'),
        consumable(month, 'nitrogen', 2),
        consumable(month, 'unit-seal', 0),
        consumable(month, 'mineral-fluid', 0),
        task(month, 'filter-clean'),
        figure(inHours(month.labourMinutes)),
      ]),
    ),
  );
  for (const { items, sentence } of cannotBeTold.slice(0, 3)) {
    console.log(`  Not in it: ${items} items. ${sentence}`);
  }
}

function figure(told: Pick<DemandFigureDto, 'expected' | 'low' | 'high'> | undefined, decimals = 0): string {
  if (told === undefined) return '-';
  const expected = told.expected.toFixed(Math.max(1, decimals));
  return `${expected} (${told.low.toFixed(decimals)} - ${told.high.toFixed(decimals)})`;
}

function inHours({
  expected,
  low,
  high,
}: DemandFigureDto): Pick<DemandFigureDto, 'expected' | 'low' | 'high'> {
  return { expected: expected / 60, low: low / 60, high: high / 60 };
}

function showCoverage(units: readonly ForecastUnit[], todayOn: CalendarDate): void {
  heading('Forecast and truth: the demo knows what will happen to its units');
  const { crossing, beyondHorizon, precharge } = forecastCoverage(units, todayOn);
  const row = (what: string, { checked, held, worse, better }: Coverage): string[] => {
    const share = (part: number): string =>
      checked === 0 ? '-' : `${((100 * part) / checked).toFixed(0)} %`;
    return [what, String(checked), share(held), share(worse), share(better)];
  };
  console.log(
    'Nominal: 80 % of what comes lies within the interval that is forecast today, 10 % on either side.',
  );
  console.log(
    textTable(
      ['what', 'units', 'held', 'sooner or lower', 'later or higher'],
      [
        row('day on which the precharge falls below 80 % of nominal', crossing),
        ...precharge.map(({ daysAhead, coverage }) =>
          row(`precharge in ${Math.round(daysAhead / 30.4)} months`, coverage),
        ),
      ],
    ),
  );
  if (beyondHorizon.told > 0) {
    console.log(
      `Of ${beyondHorizon.told} more units the forecast says that they stay above it for ten years; ` +
        `${beyondHorizon.right} do.`,
    );
  }
  const untold = units.filter(({ forecast }) => forecast.present === null).length;
  if (untold > 0) console.log(`${untold} units have never been tested: of them nothing can be told.`);
}

function showFlagged(units: readonly ForecastUnit[], { faults }: GasUnitFleetTruth): void {
  heading('Readings that cannot be true, kept and left out');
  const planted = faults.filter(({ fault }) => fault === 'mix-up');
  let found = 0;
  for (const { unit, forecast } of units) {
    for (const { used, leftOutReason, doneOn } of forecast.observations) {
      if (used) continue;
      if (planted.some((each) => each.unitKey === unit.externalKey && each.doneOn === doneOn)) found += 1;
      console.log(`  Unit ${unit.serialNumber}, ${unit.unitTypeCode}: ${leftOutReason ?? ''}`);
    }
  }
  console.log(
    `  Written into the line of another unit on purpose: ${planted.length} readings; found: ${found}.`,
  );
}

function showHolds(vehicles: readonly HeldVehicleDto[]): void {
  heading('On hold because of a test, or of a unit that is missing');
  for (const { registrationMark, reasons } of vehicles) {
    for (const { kind, text } of reasons) {
      if (kind === 'failed-test' || kind === 'finding') console.log(`  ${registrationMark}: ${text}`);
    }
  }
}
