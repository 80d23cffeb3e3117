import { Column, Entity, ForeignKey, Unique } from 'typeorm';
import type { DayWindow, WeeklyWindows } from '../../core/working-time/opening-pattern';
import { TimestampedRecord } from '../../platform/database/tenant-record';
import type { StoredAbsence } from './bay.entity';

export interface StoredCompetence {
  code: string;
  /** the last day on which it counts; null: no end */
  lastOn: string | null;
  /** certificate, course or whoever vouches for it */
  evidence: string | null;
}

export interface StoredShiftException {
  on: string;
  windows: DayWindow[];
  note: string | null;
}

/** Somebody who works on vehicles. */
@Entity('technicians')
@Unique('technicians_workshop_key', ['organisationId', 'workshopId', 'id'])
@Unique('technicians_name_key', ['organisationId', 'workshopId', 'name'])
@ForeignKey('Workshop', ['organisationId', 'workshopId'], ['organisationId', 'id'], {
  name: 'technicians_workshop_fkey',
})
export class Technician extends TimestampedRecord {
  @Column('uuid')
  workshopId!: string;

  @Column('text')
  name!: string;

  @Column('jsonb')
  competences!: StoredCompetence[];

  /** hours on the workshop's clock */
  @Column('jsonb')
  shifts!: WeeklyWindows;

  @Column('jsonb')
  shiftExceptions!: StoredShiftException[];

  @Column('jsonb')
  absences!: StoredAbsence[];

  @Column('date', { nullable: true })
  retiredOn!: string | null;
}
