import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import type { DayWindow, WeeklyWindows } from '../../core/working-time/opening-pattern';
import type { VehicleStay } from '../../core/working-time/workshop';
import { TimestampedRecord } from '../../platform/database/tenant-record';

/** Other hours than the weekly ones on some days; none at all where `windows` is empty. */
export interface StoredDayException {
  fromOn: string;
  /** the first day after it */
  untilOn: string;
  windows: DayWindow[];
  note: string | null;
}

/** A place where vehicles are worked on. */
@Entity('workshops')
@Unique('workshops_external_key_key', ['organisationId', 'externalKey'])
@Check('workshops_vehicle_stay_check', `vehicle_stay IN ('not-at-all', 'over-breaks', 'overnight')`)
@Check(
  'workshops_minutes_check',
  `minutes_before >= 0 AND minutes_after >= 0 AND grid_minutes > 0 AND 1440 % grid_minutes = 0`,
)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'workshops_organisation_fkey' })
export class Workshop extends TimestampedRecord {
  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  name!: string;

  /** IANA zone of its clock */
  @Column('text')
  zone!: string;

  @Column('jsonb')
  weeklyHours!: WeeklyWindows;

  /** whose public holidays it keeps, such as GB-ENG */
  @Column('text', { nullable: true })
  holidayRegion!: string | null;

  @Column('jsonb')
  dayExceptions!: StoredDayException[];

  @Column('text')
  vehicleStay!: VehicleStay;

  @Column('integer')
  minutesBefore!: number;

  @Column('integer')
  minutesAfter!: number;

  @Column('integer')
  gridMinutes!: number;

  /** what whoever signs a job off must have, whatever the job */
  @Column('text', { nullable: true })
  signOffCompetence!: string | null;

  /** first day on which it takes no work any more */
  @Column('date', { nullable: true })
  retiredOn!: string | null;
}
