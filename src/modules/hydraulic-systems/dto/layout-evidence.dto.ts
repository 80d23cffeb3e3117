import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { IsObject, IsString, Length, ValidateNested } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeAbsent } from '../../../platform/http/optional-fields';

/** Who saw a fact on the vehicle, when and how. */
export class LayoutEvidenceDto {
  @IsString()
  @Length(1, 200)
  seenBy!: string;

  /** Not later than today at the vehicle's depot. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  seenOn!: string;

  /** @example vehicle on the ramp, pipes followed */
  @IsString()
  @Length(1, 500)
  how!: string;
}

const Evidence = (): PropertyDecorator => (target, property) => {
  MayBeAbsent()(target, property);
  IsObject()(target, property);
  ValidateNested()(target, property);
  Type(() => LayoutEvidenceDto)(target, property);
  ApiProperty({ required: false, type: LayoutEvidenceDto })(target, property);
};

/** The evidence of each recorded fact. A recorded fact without any is accepted, and asked to be looked at. */
export class LayoutEvidenceByFactDto {
  @Evidence()
  pumpKind?: LayoutEvidenceDto;

  @Evidence()
  antiSinkValves?: LayoutEvidenceDto;

  @Evidence()
  rearBrakeAccumulator?: LayoutEvidenceDto;

  @Evidence()
  steeringSupply?: LayoutEvidenceDto;

  @Evidence()
  steeringRegulator?: LayoutEvidenceDto;

  @Evidence()
  fluid?: LayoutEvidenceDto;

  @Evidence()
  reservoirLitres?: LayoutEvidenceDto;
}
