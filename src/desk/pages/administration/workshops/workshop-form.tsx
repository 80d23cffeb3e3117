import { useQuery } from '@tanstack/react-query';
import { answered, api, ifMatch } from '../../../api/client';
import { TextField } from '../../../design/field';
import { useReader } from '../../../session/session';
import { RecordForm } from '../parts/record-form';
import { RowsFields } from '../parts/rows-fields';
import { without } from '../parts/three-way';
import { readersZone } from '../parts/use-moment-text';
import { zoneChoices } from '../parts/zones';
import { WeekFields } from './week-fields';
import { workshopBodyOf, workshopValuesOf, type Workshop } from './workshop-values';

interface WorkshopFormProps {
  workshop: Workshop | null;
  onKept: (workshop: Workshop) => void;
  onCancel?: () => void;
}

const STAYS = [
  { value: 'not-at-all', name: 'Not at all: a job is one stretch' },
  { value: 'over-breaks', name: 'Over breaks of the same day' },
  { value: 'overnight', name: 'Overnight, over weekends and holidays too' },
];

export function WorkshopForm({ workshop, onKept, onCancel }: WorkshopFormProps) {
  const { locale } = useReader();
  const regions = useQuery({
    queryKey: ['administration', 'holiday-regions'],
    queryFn: () => answered(api.GET('/v1/holiday-regions')),
    staleTime: Infinity,
  });
  const regionChoices = (regions.data?.items ?? []).map(({ code, name }) => ({ value: code, name }));
  return (
    <RecordForm
      record={workshop}
      valuesOf={(from: Workshop | null) => workshopValuesOf(from, readersZone())}
      bodyOf={(values) => workshopBodyOf(values, locale)}
      create={(body) => answered(api.POST('/v1/workshops', { body: without(body, 'retiredOn') }))}
      change={(body, base) =>
        answered(
          api.PATCH('/v1/workshops/{workshopId}', {
            params: { path: { workshopId: base.id }, header: ifMatch(base) },
            body,
          }),
        )
      }
      readAgain={({ id }) =>
        answered(api.GET('/v1/workshops/{workshopId}', { params: { path: { workshopId: id } } }))
      }
      onKept={onKept}
      onCancel={onCancel}
      keep={workshop === null ? 'Add it' : 'Keep'}
    >
      {(fields) => (
        <>
          <div className="columns">
            {fields.text('name', 'Name', { required: true })}
            {fields.text('externalKey', 'Own key')}
            {fields.select('zone', 'Time zone', zoneChoices(fields.values.zone))}
            {fields.select('holidayRegion', 'Public holidays of', regionChoices, { none: 'none' })}
          </div>
          <WeekFields
            legend="Opening hours"
            hint="Such as 08:00–12:00, 13:00–17:00. An empty day is shut."
            empty="shut"
            week={fields.values.weeklyHours}
            fault={fields.faultAt('weeklyHours')}
            onChange={(weeklyHours) => fields.set({ weeklyHours })}
          />
          <RowsFields
            legend="Days with other hours"
            hint="They take the place of the opening hours. Empty hours: shut."
            rows={fields.values.dayExceptions}
            blank={{ fromOn: '', lastOn: '', hours: '', note: '' }}
            add="Add days"
            onChange={(dayExceptions) => fields.set({ dayExceptions })}
            place="dayExceptions"
            faultAt={fields.faultAt}
          >
            {(row, set) => (
              <>
                <TextField
                  label="First day"
                  type="date"
                  value={row.fromOn}
                  onChange={({ target }) => set({ fromOn: target.value })}
                />
                <TextField
                  label="Last day"
                  type="date"
                  value={row.lastOn}
                  onChange={({ target }) => set({ lastOn: target.value })}
                />
                <TextField
                  label="Hours"
                  placeholder="shut"
                  value={row.hours}
                  onChange={({ target }) => set({ hours: target.value })}
                />
                <TextField
                  label="Note"
                  value={row.note}
                  onChange={({ target }) => set({ note: target.value })}
                />
              </>
            )}
          </RowsFields>
          <div className="columns">
            {fields.select('vehicleStay', 'A vehicle may stay unfinished', STAYS)}
            {fields.number('gridMinutes', 'Free times begin every', { unit: 'min' })}
            {fields.number('minutesBefore', 'Taken before the work', { unit: 'min' })}
            {fields.number('minutesAfter', 'Taken after the work', { unit: 'min' })}
            {fields.text('signOffCompetence', 'Competence to sign off', {
              hint: 'The code of it. Empty: none beside what the job asks for.',
            })}
            {workshop === null
              ? null
              : fields.date('retiredOn', 'Takes no work from', { hint: 'Empty: it goes on.' })}
          </div>
        </>
      )}
    </RecordForm>
  );
}
