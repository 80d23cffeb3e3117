import type { Bay } from './bay.entity';
import type { Technician } from './technician.entity';
import type { Workshop } from './workshop.entity';

/** A workshop with its bays and people. */
export interface WholeWorkshop {
  workshop: Workshop;
  bays: Bay[];
  technicians: Technician[];
}
