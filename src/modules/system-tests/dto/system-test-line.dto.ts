import { OmitType } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { CreateSystemTestDto } from './write-system-test.dto';

/** A test as a line of a file states it; other records are named by the operator's keys. */
export class SystemTestLine extends OmitType(CreateSystemTestDto, ['gaugeId']) {
  @IsString()
  @Length(1, 100)
  vehicleKey!: string;

  @MayBeAbsent()
  @IsString()
  @Length(1, 100)
  gaugeCode?: string;
}
