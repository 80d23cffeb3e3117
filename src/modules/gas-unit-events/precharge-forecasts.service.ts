import { Injectable } from '@nestjs/common';
import { ADVICE_NOT_A_CERTIFICATE } from '../../core/gas/gas-cautions';
import { forecastPrecharge } from '../../core/precharge/forecast-precharge';
import { localDateAt } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import { PrechargeModelsService } from '../precharge-models/precharge-models.service';
import type { PrechargeForecastDto } from './dto/precharge-forecast.dto';
import type { ForecastInShortDto } from './dto/recorded-gas-unit-event.dto';
import { GasUnitEventsRepository } from './gas-unit-events.repository';
import { presentPlace, type MeasuredUnit } from './measured-unit';
import { PrechargeLimitsService } from './precharge-limits.service';
import { roundedBar } from './rounded';
import { trendOf } from './trend-of-unit';
import type { UnitStanding } from './unit-standing';
import { datesOf, observationsOf, unitOutlook } from './unit-outlook';

const METHOD =
  'The logarithm of the absolute precharge at 20 °C falls along a straight line from each charge on. The loss of the ' +
  'unit is joined with what is known of its type (normal-inverse-gamma posterior); readings scatter, and the line ' +
  'wanders. The days are those on which the gas is below the limit with a probability of 10, 50 and 90 %; readings ' +
  'that cannot be true beside the others are left out, with the reason.';

const VALIDITY =
  'Up to ten years after the last observation, for a whole diaphragm and nitrogen: it does not foresee a diaphragm ' +
  'that tears or a charging screw that comes loose. The interval is 80 %, without the error of reading a gauge.';

const NOTHING_KNOWN = {
  present: null,
  lossPerYear: null,
  earliestOn: null,
  medianOn: null,
  latestOn: null,
  openEnd: null,
  horizonOn: null,
  probabilityBelowLimit: [],
  band: [],
};

@Injectable()
export class PrechargeForecastsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly events: GasUnitEventsRepository,
    private readonly limits: PrechargeLimitsService,
    private readonly models: PrechargeModelsService,
    private readonly clock: Clock,
  ) {}

  forecast({ principal }: RequestContext, unitId: string): Promise<PrechargeForecastDto> {
    return this.transactions.read(principal, async (tx) => toForecastDto(await this.standing(tx, unitId)));
  }

  /** The trend as a picture, SVG. */
  async trend({ principal }: RequestContext, unitId: string): Promise<string> {
    const standing = await this.transactions.read(principal, (tx) => this.standing(tx, unitId));
    // the chart library takes longer to load than all the rest of the service: it comes with the first picture
    const { renderTrendPicture } = await import('./trend-picture');
    return renderTrendPicture(trendOf(standing));
  }

  /** When a unit falls below its limit by what is on file in this transaction; null where nothing is. */
  async inShort(tx: Tx, unit: MeasuredUnit): Promise<ForecastInShortDto | null> {
    const { events, limit, learnt } = await this.standingOf(tx, unit);
    const { limit20BarGauge } = limit;
    const outlook = forecastPrecharge(observationsOf(events, unit.zone), learnt.model, { limit20BarGauge });
    return outlook === null ? null : { limit20BarGauge: roundedBar(limit20BarGauge), ...datesOf(outlook) };
  }

  private async standing(tx: Tx, unitId: string): Promise<UnitStanding> {
    const unit = (await this.events.units(tx, [unitId])).get(unitId);
    if (unit === undefined) throw notFound('gas unit', unitId);
    return this.standingOf(tx, unit);
  }

  private async standingOf(tx: Tx, unit: MeasuredUnit): Promise<UnitStanding> {
    return {
      unit,
      events: await this.events.standing(tx, unit.unitId),
      limit: await this.limits.of(tx, unit, presentPlace(unit)),
      learnt: await this.models.inForce(tx, unit.typeId),
      todayOn: localDateAt(this.clock.now(), unit.zone),
    };
  }
}

function toForecastDto({ unit, events, limit, learnt, todayOn }: UnitStanding): PrechargeForecastDto {
  const { nominal20BarGauge, limit20BarGauge, ruleCode, origin } = limit;
  const { model, fittedAt } = learnt;
  const observations = observationsOf(events, unit.zone);
  const told = unitOutlook(observations, model, limit20BarGauge, todayOn);
  const leftOut = new Map(told?.outlook.leftOut.map((each) => [each.id, each]));
  const figures = told?.figures ?? NOTHING_KNOWN;
  return {
    unitId: unit.unitId,
    serialNumber: unit.serialNumber,
    typeCode: unit.typeCode,
    zone: unit.zone,
    todayOn,
    limit: { nominal20BarGauge, limit20BarGauge: roundedBar(limit20BarGauge), ruleCode, origin },
    model: {
      origin: model.units > 0 ? 'learnt' : 'default-prior',
      units: model.units,
      fittedAt,
      logLossPerYearMean: model.logLossPerYear.mean,
      logLossPerYearSd: model.logLossPerYear.sd,
      readingSd: model.readingSd,
      wanderPerYear: model.wanderPerYear,
      widening: model.widening,
    },
    observations: events.map(({ id, kind, doneAt, precharge20BarGauge, outcome }) => {
      const why = leftOut.get(id);
      return {
        eventId: id,
        kind,
        doneOn: localDateAt(doneAt.getTime(), unit.zone),
        precharge20BarGauge: roundedBar(precharge20BarGauge),
        outcome,
        used: why === undefined,
        leftOutCode: why?.code ?? null,
        leftOutReason: why?.sentence ?? null,
      };
    }),
    ...figures,
    missing: told === null ? [`Record a precharge test or a charge of unit ${unit.serialNumber}.`] : [],
    method: METHOD,
    validity: VALIDITY,
    cautions: [{ ...ADVICE_NOT_A_CERTIFICATE }],
  };
}
