/**
 * What is recorded of what, in the words of the audit trail. `subject.action` is the type of the event that tells
 * of it, so a word here is part of the contract: new ones may come, none may go.
 */
export const RECORDED_CHANGES = {
  'api-key': ['created', 'rotated', 'revoked'],
  bay: ['created', 'changed'],
  'blackout-period': ['created', 'changed', 'deleted'],
  booking: [
    'booked',
    'changed',
    'moved',
    'confirmed',
    'arrived',
    'work-started',
    'finished',
    'collected',
    'cancelled',
    'missed',
    'lapsed',
  ],
  'calendar-feed': ['created', 'rotated', 'revoked'],
  depot: ['created', 'changed'],
  'downtime-plan': ['started', 'stopped', 'acceptance-asked', 'accepted'],
  'duty-change': ['created', 'changed', 'deleted'],
  fleet: ['created', 'changed', 'usage-models-refitted'],
  'gas-unit': ['created', 'changed', 'moved', 'move-taken-back', 'placement-recorded', 'placement-changed'],
  'gas-unit-event': ['created', 'changed', 'voided'],
  'gas-unit-type': ['created', 'changed', 'precharge-model-refitted'],
  gauge: ['created', 'changed'],
  hold: ['placed', 'lifted'],
  'hold-override': ['overridden', 'revoked'],
  'hydraulic-system': ['recorded', 'changed'],
  import: ['started', 'cancelled'],
  'job-sheet': ['created', 'changed', 'made-anew', 'completed'],
  'odometer-reading': ['created', 'accepted', 'rejected', 'corrected'],
  'odometer-replacement': ['created', 'changed', 'deleted'],
  'off-road-period': ['created', 'changed', 'deleted'],
  'oauth-client': ['created', 'rotated', 'revoked'],
  organisation: ['changed', 'default-service-programme-changed'],
  person: [
    'invited',
    'invited-anew',
    'invitation-accepted',
    'changed',
    'disabled',
    'enabled',
    'preferences-changed',
    'password-changed',
    'signed-in',
    'signed-out',
    'sign-in-slowed',
    'unlocked',
  ],
  'planning-settings': ['changed'],
  roster: ['changed'],
  'service-programme': ['created', 'changed', 'put-into-force'],
  'service-programme-version': ['created', 'changed', 'deleted', 'published'],
  'system-test': ['created', 'changed', 'voided'],
  'task-completion': ['created', 'changed', 'voided'],
  technician: ['created', 'changed'],
  'unit-position': ['created', 'changed', 'deleted'],
  vehicle: ['created', 'changed'],
  'webhook-endpoint': [
    'created',
    'changed',
    'deleted',
    'secret-rotated',
    'replayed',
    'consented',
    'disabled',
  ],
  workshop: ['created', 'changed'],
  'workshop-reach': ['changed'],
} as const;

export type RecordedSubject = keyof typeof RECORDED_CHANGES;

/** What can be recorded of a subject. */
export type ActionOn<S extends RecordedSubject> = (typeof RECORDED_CHANGES)[S][number];

export type RecordedChange = {
  [S in RecordedSubject]: { subjectType: S; action: ActionOn<S> };
}[RecordedSubject];

/** What the passing of time alone brings about. Nobody did it, so there is an event and no audit entry. */
export const ANNOUNCED_CHANGES = {
  'due-item': ['became-due', 'became-overdue'],
  vehicle: ['hold-began', 'hold-ended'],
} as const;

export type AnnouncedSubject = keyof typeof ANNOUNCED_CHANGES;

export type AnnouncedChange = {
  [S in AnnouncedSubject]: { subjectType: S; action: (typeof ANNOUNCED_CHANGES)[S][number] };
}[AnnouncedSubject];

/** Every type of event that there is. */
export const EVENT_TYPES: readonly string[] = [RECORDED_CHANGES, ANNOUNCED_CHANGES]
  .flatMap((changes) => Object.entries<readonly string[]>(changes))
  .flatMap(([subject, actions]) => actions.map((action) => `${subject}.${action}`))
  .sort();

/** Subjects that only administrators may read about, here as at their own addresses. */
export const ADMINISTRATORS_SUBJECTS: readonly RecordedSubject[] = [
  'api-key',
  'calendar-feed',
  'oauth-client',
  'person',
  'webhook-endpoint',
];
