import { ADMINISTRATORS_SUBJECTS, EVENT_TYPES } from '../../platform/audit/recorded-changes';

/** What an endpoint can be told of: everything but what only administrators are told in the change feed. */
export const WEBHOOK_EVENT_TYPES: readonly string[] = EVENT_TYPES.filter(
  (type) => !ADMINISTRATORS_SUBJECTS.some((subject) => type.startsWith(`${subject}.`)),
);
