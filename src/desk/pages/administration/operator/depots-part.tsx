import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { actions, column } from '../parts/columns';
import { choicesOf, useDepots, useFleets, useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { without } from '../parts/three-way';
import { textOrNull } from '../parts/typed';
import { readersZone } from '../parts/use-moment-text';
import { zoneChoices } from '../parts/zones';

type Depot = Schemas['DepotDto'];

export function DepotsPart() {
  const depots = useDepots();
  const fleets = useFleets();
  const [edited, setEdited] = useState<Depot | 'new' | null>(null);
  const columns = useMemo(() => {
    const fleetOf = ({ fleetId }: Depot) => fleets.data?.find(({ id }) => id === fleetId)?.name ?? '–';
    return [
      column<Depot>('Depot', ({ name }) => name),
      column<Depot>('Fleet', fleetOf),
      column<Depot>('Time zone', ({ zone }) => zone),
      column<Depot>('Own key', ({ externalKey }) => externalKey ?? '–'),
      actions<Depot>((depot) => (
        <Button kind="quiet" onClick={() => setEdited(depot)} aria-label={`Change depot ${depot.name}`}>
          Change
        </Button>
      )),
    ];
  }, [fleets.data]);
  return (
    <Part title="Depots" tools={<Button onClick={() => setEdited('new')}>Add a depot</Button>}>
      <Listed what="the depots" query={depots}>
        {(rows) => (
          <DataTable
            caption="Depots"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No depot yet."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <DepotDialog depot={edited === 'new' ? null : edited} onClose={() => setEdited(null)} />
      )}
    </Part>
  );
}

function DepotDialog({ depot, onClose }: { depot: Depot | null; onClose: () => void }) {
  const fleets = useFleets();
  const readAgain = useReadAgain();
  return (
    <Dialog title={depot === null ? 'A new depot' : `Depot ${depot.name}`} onClose={onClose}>
      <RecordForm
        record={depot}
        valuesOf={(from: Depot | null) => ({
          name: from?.name ?? '',
          fleetId: from?.fleetId ?? fleets.data?.[0]?.id ?? '',
          zone: from?.zone ?? readersZone(),
          externalKey: from?.externalKey ?? '',
        })}
        bodyOf={({ externalKey, ...rest }) => ({ ...rest, externalKey: textOrNull(externalKey) })}
        create={(body) => answered(api.POST('/v1/depots', { body }))}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/depots/{depotId}', {
              params: { path: { depotId: base.id }, header: ifMatch(base) },
              body: without(body, 'fleetId'),
            }),
          )
        }
        readAgain={({ id }) =>
          answered(api.GET('/v1/depots/{depotId}', { params: { path: { depotId: id } } }))
        }
        onKept={() => {
          readAgain('depots');
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            {depot === null ? fields.select('fleetId', 'Fleet', choicesOf(fleets.data)) : null}
            {fields.select('zone', 'Time zone', zoneChoices(fields.values.zone), {
              hint: 'Due dates of its vehicles are days in this zone.',
            })}
            {fields.text('externalKey', 'Own key', {
              hint: 'By which files and other systems name it. May be empty.',
            })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
