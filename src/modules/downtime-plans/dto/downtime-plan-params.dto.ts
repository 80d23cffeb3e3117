import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { acceptances, type Acceptance } from '../planned-visit.entity';
import { itemReasons, type ItemReason } from '../planned-item.entity';

export class DowntimePlanParamsDto {
  @IsUUID()
  downtimePlanId!: string;
}

export class PlanDepotParamsDto extends DowntimePlanParamsDto {
  @IsUUID()
  depotId!: string;
}

export class PlanWorkshopParamsDto extends DowntimePlanParamsDto {
  @IsUUID()
  workshopId!: string;
}

export class ListDowntimePlansQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  fleetId?: string;
}

export class ListPlannedVisitsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  @IsOptional()
  @IsUUID()
  workshopId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsIn(acceptances)
  @ApiProperty({ required: false, enum: acceptances })
  acceptance?: Acceptance;
}

export class ListPlannedItemsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  /** Only items that are on their day, or off it, for this reason. */
  @IsOptional()
  @IsIn(itemReasons)
  @ApiProperty({ required: false, enum: itemReasons })
  reason?: ItemReason;
}

export class ComparePlansQueryDto {
  /** The plan to hold it against. */
  @IsUUID()
  withId!: string;
}
