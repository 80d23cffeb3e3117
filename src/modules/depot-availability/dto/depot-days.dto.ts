import { ApiProperty } from '@nestjs/swagger';

const CAUSES = ['booking', 'off-road-period'] as const;

/** One vehicle that is off the road, and why. */
export class VehicleAwayDto {
  vehicleId!: string;
  registrationMark!: string;
  @ApiProperty({ enum: CAUSES })
  cause!: (typeof CAUSES)[number];
  /** Id of the booking, or of the off-road period. */
  causeId!: string;
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** First day back. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
}

/** Vehicles of a depot on one day. */
export class DepotDayDto {
  @ApiProperty({ format: 'date' })
  on!: string;
  /** In service at the depot. */
  vehicles!: number;
  /** By the roster; 0 where nothing is set. */
  neededOnRoad!: number;
  /** In a workshop by a booking that stands. */
  booked!: number;
  /** Off the road by a recorded period, and not booked as well. */
  offRoad!: number;
  /** What is left for the roster. */
  onRoad!: number;
}

export class DepotDaysDto {
  depotId!: string;
  name!: string;
  /** Nothing was ever set about what the depot needs. */
  isDefaultRoster!: boolean;
  days!: DepotDayDto[];
  /** Who is away in these days, in order of their first day. */
  away!: VehicleAwayDto[];
}

export class DepotAvailabilityByDayDto {
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** First day after it. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  /** In order of name. */
  depots!: DepotDaysDto[];
}

export function toVehicleAwayDto(row: VehicleAwayDto): VehicleAwayDto {
  const { vehicleId, registrationMark, cause, causeId, fromOn, untilOn } = row;
  return { vehicleId, registrationMark, cause, causeId, fromOn, untilOn };
}
