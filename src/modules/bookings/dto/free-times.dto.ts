import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, ArrayUnique, IsArray, IsInt, IsUUID, Max, Min } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { BookedExtraWorkDto, BookedItemDto, WorkConsumableDto, WorkPeriodDto } from './booking.dto';
import { WantedWorkDto } from './write-booking.dto';

/** More are not searched for one answer. */
export const MOST_WORKSHOPS = 20;

export class FindFreeTimesDto extends WantedWorkDto {
  @IsUUID()
  vehicleId!: string;

  /** Where to look; left out, every workshop that you see and that takes work. Of more than 20, name those to look at. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(MOST_WORKSHOPS)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  @ApiProperty({ maxItems: MOST_WORKSHOPS })
  workshopIds?: string[];

  /** The work starts no earlier; left out, now. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  fromAt?: string;

  /** The work ends no later; left out, 90 days on. At most 400 days after `fromAt`. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  untilAt?: string;

  /** How many free times at most. */
  @MayBeAbsent()
  @IsInt()
  @Min(1)
  @Max(50)
  count?: number = 5;
}

export class SlotTechnicianDto {
  id!: string;
  name!: string;
}

/** A time at which a bay and people are free for the work. */
export class FreeTimeDto {
  workshopId!: string;
  workshopName!: string;
  /** Zone of the workshop. */
  zone!: string;
  bayId!: string;
  bayName!: string;
  technicians!: SlotTechnicianDto[];
  /** Start of the work. */
  @ApiProperty({ format: 'date-time' })
  startsAt!: string;
  @ApiProperty({ format: 'date-time' })
  endsAt!: string;
  /** The same on the workshop's clock, for reading out: day, date and hours. */
  inWords!: string;
  /** The vehicle has to be there. */
  @ApiProperty({ format: 'date-time' })
  bayFromAt!: string;
  @ApiProperty({ format: 'date-time' })
  bayUntilAt!: string;
  pieces!: WorkPeriodDto[];
}

/** What the work needs. */
export class VisitJobDto {
  workMinutes!: number;
  /** The bay has to serve them all. */
  @ApiProperty({ type: [String] })
  bayKinds!: readonly string[];
  /** People with these competences, one set each; one person may be several of them. */
  @ApiProperty({ type: 'array', items: { type: 'array', items: { type: 'string' } } })
  competences!: readonly (readonly string[])[];
  @ApiProperty({ type: [WorkConsumableDto] })
  consumables!: WorkConsumableDto[];
}

export const SCARCITIES = [
  'competence',
  'bay-kind',
  'technicians',
  'vehicle',
  'opening',
  'job-length',
  'combination',
] as const;

/** A thing of which more would be enough by itself. */
export class RemedyDto {
  @ApiProperty({ enum: SCARCITIES })
  scarcity!: (typeof SCARCITIES)[number];
  sentence!: string;
  /** At how many starts the job would fit then. */
  starts!: number;
  @ApiProperty({ format: 'date-time' })
  firstStartsAt!: string;
}

export class NothingFreeDto {
  /** What is in the way most of all. */
  @ApiProperty({ enum: SCARCITIES })
  scarcest!: (typeof SCARCITIES)[number];
  sentence!: string;
  remedies!: RemedyDto[];
  /** The first time after the range at which it fits; null where there is none up to `searchedUntilAt`. */
  @ApiProperty({ nullable: true, type: FreeTimeDto })
  firstFit!: FreeTimeDto | null;
  @ApiProperty({ format: 'date-time' })
  searchedUntilAt!: string;
}

/** A due item that was not asked for and could be done at the same visit. */
export class VisitSuggestionDto {
  dueItemKey!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
  /** Days of its interval that are given away if it is done at this visit. */
  daysGivenAway!: number | null;
  /** The same as a share of the interval, 0 to 1. */
  shareGivenAway!: number | null;
  /** How many visits less there are in the half year after it. */
  visitsSaved!: number;
  minutes!: number;
  worthwhile!: boolean;
  sentence!: string;
}

/** Everything that a front desk needs while the caller waits. */
export class FreeTimesDto {
  vehicleId!: string;
  registrationMark!: string;
  @ApiProperty({ format: 'date-time' })
  fromAt!: string;
  @ApiProperty({ format: 'date-time' })
  untilAt!: string;
  items!: BookedItemDto[];
  extraWork!: BookedExtraWorkDto[];
  job!: VisitJobDto;
  /** The first ones, in order of start. */
  freeTimes!: FreeTimeDto[];
  /** Null where there is at least one. */
  @ApiProperty({ nullable: true, type: NothingFreeDto })
  nothingFree!: NothingFreeDto | null;
  /** What else is worth doing at the first of these times, the most worthwhile first. */
  suggestions!: VisitSuggestionDto[];
}
