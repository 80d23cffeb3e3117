import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { ProblemNotice } from '../../../design/notice';
import { faultFinder, TypedFault } from '../parts/faults';
import { FormFields } from '../parts/form-fields';
import { instantOf } from '../../../format/days';
import { readersZone } from '../parts/use-moment-text';
import { wordsOf } from '../parts/words';
import { eventTypeChoices } from '../webhooks/event-types';
import styles from './audit.module.css';

export interface FilterValues {
  actor: string;
  subjectType: string;
  subjectId: string;
  fromAt: string;
  untilAt: string;
  vehicle: string;
}

export const NO_FILTERS: FilterValues = {
  actor: '',
  subjectType: '',
  subjectId: '',
  fromAt: '',
  untilAt: '',
  vehicle: '',
};

// what only administrators may know is told to no webhook
const ONLY_HERE = ['api-key', 'calendar-feed', 'oauth-client', 'person', 'webhook-endpoint'];
const SUBJECT_TYPES = [
  ...new Set([...eventTypeChoices.map(({ value }) => value.split('.')[0] ?? ''), ...ONLY_HERE]),
]
  .sort()
  .map((value) => ({ value, name: wordsOf(value) }));

/** The filters as the API takes them. */
export function queryOf(
  { actor, subjectType, subjectId, fromAt, untilAt }: FilterValues,
  vehicleId: string | null,
) {
  const zone = readersZone();
  return {
    ...(actor.trim() === '' ? {} : { actor: actor.trim() }),
    ...(subjectType === '' ? {} : { subjectType }),
    ...(subjectId.trim() === '' ? {} : { subjectId: subjectId.trim() }),
    ...(fromAt === '' ? {} : { fromAt: instantOf(fromAt, zone) }),
    ...(untilAt === '' ? {} : { untilAt: instantOf(untilAt, zone) }),
    ...(vehicleId === null ? {} : { vehicleId }),
  };
}

interface AuditFiltersProps {
  filters: FilterValues;
  busy: boolean;
  /** what the API found wrong with a filter */
  faultAt: (parameter: string) => string | null;
  onSearch: (filters: FilterValues, vehicleId: string | null) => void;
}

export function AuditFilters({ filters, busy, faultAt, onSearch }: AuditFiltersProps) {
  const [values, setValues] = useState(filters);
  const search = useMutation({
    mutationFn: async (wanted: FilterValues) => ({ wanted, vehicleId: await vehicleIdOf(wanted.vehicle) }),
    onSuccess: ({ wanted, vehicleId }) => onSearch(wanted, vehicleId),
  });
  const typedFault = faultFinder(search.error);
  const fields = new FormFields(
    values,
    (patch) => setValues((before) => ({ ...before, ...patch })),
    (place) => typedFault(place) ?? faultAt(place),
  );
  return (
    <form
      className="sheet stack"
      role="search"
      onSubmit={(event) => {
        event.preventDefault();
        search.mutate(values);
      }}
    >
      <div className={styles.filters}>
        {fields.text('actor', 'Who', { hint: 'As it stands in the entries.' })}
        {fields.select('subjectType', 'What', SUBJECT_TYPES, { none: 'Every kind of record' })}
        {fields.text('subjectId', 'Record', { hint: 'Its id.' })}
        {fields.text('vehicle', 'Vehicle', { hint: 'Registration mark, fleet number or VIN.' })}
        {fields.moment('fromAt', 'From')}
        {fields.moment('untilAt', 'Until')}
      </div>
      {search.error instanceof TypedFault ? null : <ProblemNotice error={search.error} />}
      <div className="row">
        <Button kind="main" type="submit" busy={busy || search.isPending}>
          Show
        </Button>
        <Button
          onClick={() => {
            setValues(NO_FILTERS);
            onSearch(NO_FILTERS, null);
          }}
        >
          Show all
        </Button>
      </div>
    </form>
  );
}

async function vehicleIdOf(text: string): Promise<string | null> {
  const wanted = text.trim();
  if (wanted === '') return null;
  const { items } = await answered(
    api.GET('/v1/vehicles', { params: { query: { search: wanted, includeRetired: true, limit: 5 } } }),
  );
  const [first, ...more] = items;
  if (first === undefined)
    throw new TypedFault('vehicle', `No vehicle is known as “${wanted}”. Look it up under Vehicles.`);
  if (more.length > 0)
    throw new TypedFault(
      'vehicle',
      `Several vehicles fit: ${items.map(({ registrationMark }) => registrationMark).join(', ')}. Write one of them whole.`,
    );
  return first.id;
}
