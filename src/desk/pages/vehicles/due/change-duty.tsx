import { useMutation, useQuery } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api, ifMatch } from '../../../api/client';
import { faultDetail } from '../../../api/problem';
import { Button } from '../../../design/button';
import { TextField } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { TakeBack } from '../../../design/take-back';
import { dayText, todayOn } from '../../../format/days';
import { inWords } from '../../../format/words';
import { useReader } from '../../../session/session';
import { useVehicleChanged, vehicleQueries, type Vehicle } from '../vehicle-queries';

/** The duties that it has had; each change of duty can be taken back. */
function Duties({ vehicle }: { vehicle: Vehicle }) {
  const { locale } = useReader();
  const changed = useVehicleChanged(vehicle.id);
  const { data: changes = [], error } = useQuery(vehicleQueries(vehicle.id).dutyChanges);
  return (
    <>
      <ProblemNotice error={error} />
      <ul>
        <li>Began with: {inWords(vehicle.dutyClass)}</li>
        {changes.map((change) => (
          <li key={change.id}>
            From {dayText(change.fromOn, locale)}: {inWords(change.dutyClass)}
            {change.note === null ? '' : `, ${change.note}`}{' '}
            <TakeBack
              what={`the duty from ${dayText(change.fromOn, locale)} on`}
              asksWhy={false}
              send={() =>
                answered(
                  api.DELETE('/v1/duty-changes/{dutyChangeId}', {
                    params: { path: { dutyChangeId: change.id }, header: ifMatch(change) },
                  }),
                )
              }
              onDone={changed}
            >
              It does the duty before it again, and what is due follows.
            </TakeBack>
          </li>
        ))}
      </ul>
    </>
  );
}

/** Records that the vehicle does another duty from a day on, which moves what is due. */
export function ChangeDuty({ vehicle, zone }: { vehicle: Vehicle; zone: string }) {
  const changed = useVehicleChanged(vehicle.id);
  const { register, handleSubmit, reset } = useForm({
    defaultValues: { fromOn: todayOn(zone), dutyClass: '', note: '' },
  });
  const record = useMutation({
    mutationFn: ({ fromOn, dutyClass, note }: { fromOn: string; dutyClass: string; note: string }) =>
      answered(
        api.POST('/v1/vehicles/{vehicleId}/duty-changes', {
          params: { path: { vehicleId: vehicle.id } },
          body: {
            fromOn,
            dutyClass: dutyClass.trim().toLowerCase().replaceAll(' ', '-'),
            note: note.trim() === '' ? null : note,
          },
        }),
      ),
    onSuccess: async () => {
      reset();
      await changed();
    },
  });
  const faultAt = (pointer: string) => faultDetail(record.error, pointer);
  return (
    <details className="sheet screen-only">
      <summary>It does another duty</summary>
      <Duties vehicle={vehicle} />
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => record.mutate(form))(event)}>
        <p className="small soft">
          The service programme says for which duties intervals are shorter or longer. What is due follows at
          once.
        </p>
        <div className="columns">
          <TextField
            label="First day"
            type="date"
            required
            fault={faultAt('#/fromOn')}
            {...register('fromOn')}
          />
          <TextField
            label="Duty"
            required
            maxLength={60}
            autoComplete="off"
            hint="As the service programme calls it, such as rough road"
            fault={faultAt('#/dutyClass')}
            {...register('dutyClass')}
          />
          <TextField label="Note" maxLength={500} {...register('note')} />
        </div>
        <ProblemNotice error={record.error} />
        {record.data === undefined ? null : <Notice tone="good" live title="Recorded" />}
        <div className="row">
          <Button kind="main" type="submit" busy={record.isPending}>
            Record the duty
          </Button>
        </div>
      </form>
    </details>
  );
}
