import { ApiProperty } from '@nestjs/swagger';
import { IsUUID } from 'class-validator';
import { MayBeNull } from '../../../platform/http/optional-fields';

export class RefitPrechargeModelsDto {
  /** The unit type to learn; left out, every type. */
  @MayBeNull()
  @IsUUID()
  @ApiProperty({ required: false, nullable: true, type: String, format: 'uuid' })
  unitTypeId?: string | null;
}
