import type { Schemas } from '../../../api/client';

export type AuditEntry = Schemas['AuditEntryDto'];
