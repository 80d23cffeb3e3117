import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { actions, column } from '../parts/columns';
import { choicesOf, useFleets, useProgrammes, useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { textOrNull } from '../parts/typed';

type Fleet = Schemas['FleetDto'];
const DEFAULT_PROGRAMME = 'The operator’s default programme';

export function FleetsPart() {
  const fleets = useFleets();
  const programmes = useProgrammes();
  const [edited, setEdited] = useState<Fleet | 'new' | null>(null);
  const columns = useMemo(() => {
    const programmeOf = ({ serviceProgrammeId }: Fleet) =>
      programmes.data?.find(({ id }) => id === serviceProgrammeId)?.name ?? DEFAULT_PROGRAMME;
    return [
      column<Fleet>('Fleet', ({ name }) => name),
      column<Fleet>('Own key', ({ externalKey }) => externalKey ?? '–'),
      column<Fleet>('Service programme', programmeOf),
      actions<Fleet>((fleet) => (
        <Button kind="quiet" onClick={() => setEdited(fleet)} aria-label={`Change fleet ${fleet.name}`}>
          Change
        </Button>
      )),
    ];
  }, [programmes.data]);
  return (
    <Part title="Fleets" tools={<Button onClick={() => setEdited('new')}>Add a fleet</Button>}>
      <Listed what="the fleets" query={fleets}>
        {(rows) => (
          <DataTable
            caption="Fleets"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No fleet yet."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <FleetDialog fleet={edited === 'new' ? null : edited} onClose={() => setEdited(null)} />
      )}
    </Part>
  );
}

function FleetDialog({ fleet, onClose }: { fleet: Fleet | null; onClose: () => void }) {
  const programmes = useProgrammes();
  const readAgain = useReadAgain();
  return (
    <Dialog title={fleet === null ? 'A new fleet' : `Fleet ${fleet.name}`} onClose={onClose}>
      <RecordForm
        record={fleet}
        valuesOf={(from: Fleet | null) => ({
          name: from?.name ?? '',
          externalKey: from?.externalKey ?? '',
          serviceProgrammeId: from?.serviceProgrammeId ?? '',
        })}
        bodyOf={({ name, externalKey, serviceProgrammeId }) => ({
          name,
          externalKey: textOrNull(externalKey),
          serviceProgrammeId: textOrNull(serviceProgrammeId),
        })}
        create={(body) => answered(api.POST('/v1/fleets', { body }))}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/fleets/{fleetId}', {
              params: { path: { fleetId: base.id }, header: ifMatch(base) },
              body,
            }),
          )
        }
        readAgain={({ id }) =>
          answered(api.GET('/v1/fleets/{fleetId}', { params: { path: { fleetId: id } } }))
        }
        onKept={() => {
          readAgain('fleets');
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            {fields.text('externalKey', 'Own key', {
              hint: 'By which files and other systems name it. May be empty.',
            })}
            {fields.select('serviceProgrammeId', 'Service programme', choicesOf(programmes.data), {
              none: DEFAULT_PROGRAMME,
              hint: 'Another programme moves the due dates of all vehicles of the fleet that have none of their own.',
            })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
