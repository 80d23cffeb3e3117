import type { Schemas } from '../../../api/client';

export type Technician = Schemas['TechnicianDto'];
