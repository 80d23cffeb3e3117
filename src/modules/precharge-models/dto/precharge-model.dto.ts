import { ApiProperty } from '@nestjs/swagger';
import { defaultPrechargeModel } from '../../../core/precharge/precharge-model';
import type { PrechargeLearningRecord } from '../../../core/precharge/learn-precharge-model';
import type { TypeWithModel } from '../precharge-models.repository';

/** Logarithms of the absolute precharge at 20 °C: 0.045 is 4.4 %. */
export class PrechargeModelParametersDto {
  /** Fall in a year, over the units of the type. */
  logLossPerYearMean!: number;
  logLossPerYearSd!: number;
  /** Standard deviation of one reading. */
  readingSd!: number;
  /** Variance by which the line wanders in a year, as a multiple of the square of the reading error. */
  wanderPerYear!: number;
  degreesOfFreedom!: number;
  /** A whole diaphragm loses gas no faster than this. */
  fastestLogLossPerYear!: number;
  /** Factor on every standard deviation, from the back-test. */
  widening!: number;
}

/** What a model was learnt from, and how often the nominal 80 % interval held. */
export class PrechargeLearningDto {
  /** Units whose loss could be told from their own readings. */
  units!: number;
  observations!: number;
  /** Observations that cannot be true beside the others. */
  leftOut!: number;
  /** Past forecasts that were checked; those of one unit overlap, so they tell less than their number. */
  trials!: number;
  /** Shares from 0 to 1, with and without the widening; null with too few trials. */
  coverage80!: number | null;
  coverage80Unwidened!: number | null;
  /** `other-units`: measured on units that the fit had not seen. */
  @ApiProperty({ enum: ['other-units', 'the-same-units', 'nothing'] })
  measuredOn!: PrechargeLearningRecord['measuredOn'];
}

/** How the units of one type lose gas. */
export class PrechargeModelDto {
  unitTypeId!: string;
  typeCode!: string;
  typeName!: string;
  /** `default-prior` until the type is fitted, and where too few units have a record of their own. */
  @ApiProperty({ enum: ['learnt', 'default-prior'] })
  origin!: 'learnt' | 'default-prior';
  @ApiProperty({ type: PrechargeModelParametersDto })
  parameters!: PrechargeModelParametersDto;
  /** Null until the type is fitted. */
  @ApiProperty({ type: PrechargeLearningDto, nullable: true })
  learning!: PrechargeLearningDto | null;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  fittedAt!: string | null;
}

export class PrechargeModelPageDto {
  items!: PrechargeModelDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class RefittedPrechargeModelsDto {
  models!: PrechargeModelDto[];
  /** Vehicles whose due items were computed again. */
  recomputedVehicles!: number;
}

export function toPrechargeModelDto(type: TypeWithModel): PrechargeModelDto {
  const model = type.model ?? defaultPrechargeModel();
  const { learning } = type;
  return {
    unitTypeId: type.unitTypeId,
    typeCode: type.typeCode,
    typeName: type.typeName,
    origin: model.units > 0 ? 'learnt' : 'default-prior',
    parameters: {
      logLossPerYearMean: model.logLossPerYear.mean,
      logLossPerYearSd: model.logLossPerYear.sd,
      readingSd: model.readingSd,
      wanderPerYear: model.wanderPerYear,
      degreesOfFreedom: model.degreesOfFreedom,
      fastestLogLossPerYear: model.fastestLogLossPerYear,
      widening: model.widening,
    },
    learning:
      learning === null
        ? null
        : {
            units: learning.units,
            observations: learning.observations,
            leftOut: learning.leftOut,
            trials: learning.trials,
            coverage80: learning.coverage80,
            coverage80Unwidened: learning.coverage80Unwidened,
            measuredOn: learning.measuredOn,
          },
    fittedAt: type.fittedAt?.toISOString() ?? null,
  };
}
