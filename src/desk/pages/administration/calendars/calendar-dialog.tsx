import { answered, api, type Schemas } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { useDepots, useWorkshops } from '../parts/lists';
import { RecordForm } from '../parts/record-form';

interface CalendarDialogProps {
  onMade: (feed: Schemas['CalendarFeedWithAddressDto']) => void;
  onClose: () => void;
}

export function CalendarDialog({ onMade, onClose }: CalendarDialogProps) {
  const workshops = useWorkshops();
  const depots = useDepots();
  const places = [
    ...(workshops.data ?? []).map(({ id, name }) => ({ value: `workshop ${id}`, name: `Diary, ${name}` })),
    ...(depots.data ?? []).map(({ id, name }) => ({ value: `depot ${id}`, name: `Off-road days, ${name}` })),
  ];
  return (
    <Dialog title="A new calendar feed" onClose={onClose}>
      <RecordForm
        record={null}
        valuesOf={() => ({ place: '', label: '', withNames: false })}
        bodyOf={(values) => values}
        create={({ place: chosen, ...body }) => {
          const [kind, id = ''] = (chosen === '' ? (places[0]?.value ?? '') : chosen).split(' ');
          return kind === 'depot'
            ? answered(
                api.POST('/v1/depots/{depotId}/calendar-feeds', { params: { path: { depotId: id } }, body }),
              )
            : answered(
                api.POST('/v1/workshops/{workshopId}/calendar-feeds', {
                  params: { path: { workshopId: id } },
                  body,
                }),
              );
        }}
        onKept={onMade}
        onCancel={onClose}
        keep="Make the feed"
      >
        {(fields) => (
          <>
            {fields.select('place', 'Shows', places)}
            {fields.text('label', 'For', { required: true, hint: 'Who reads it, or where it hangs.' })}
            {fields.check(
              'withNames',
              'With names of technicians, and what is noted of who called',
              'Whoever knows the address reads them, and so does the service that keeps the reader’s calendars.',
            )}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
