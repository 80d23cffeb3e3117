import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { useBays, useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { without } from '../parts/three-way';
import { textOrNull, typedWords } from '../parts/typed';
import { AbsenceFields } from './absence-fields';
import { shownAbsences, typedAbsences } from './absences';
import type { Workshop } from './workshop-values';

type Bay = Schemas['BayDto'];

export function BaysPart({ workshop }: { workshop: Workshop }) {
  const bays = useBays(workshop.id);
  const { locale } = useReader();
  const [edited, setEdited] = useState<Bay | 'new' | null>(null);
  const columns = useMemo(
    () => [
      column<Bay>('Bay', ({ name }) => name),
      column<Bay>('Serves', ({ kinds }) => kinds.join(', ')),
      column<Bay>('Closures', ({ closures }) => closures.length),
      column<Bay>(
        'State',
        ({ retiredOn }) => retiredOn ?? '',
        ({ retiredOn }) =>
          retiredOn === null ? (
            <StateMark tone="good">in use</StateMark>
          ) : (
            <StateMark tone="unknown">not used from {dayText(retiredOn, locale)}</StateMark>
          ),
      ),
      actions<Bay>((bay) => (
        <Button kind="quiet" aria-label={`Change bay ${bay.name}`} onClick={() => setEdited(bay)}>
          Change
        </Button>
      )),
    ],
    [locale],
  );
  return (
    <Part title="Bays" tools={<Button onClick={() => setEdited('new')}>Add a bay</Button>}>
      <Listed what="the bays" query={bays}>
        {(rows) => (
          <DataTable
            caption="Bays"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No bay yet: without one nothing can be booked."
          />
        )}
      </Listed>
      {edited === null ? null : (
        <BayDialog
          workshop={workshop}
          bay={edited === 'new' ? null : edited}
          onClose={() => setEdited(null)}
        />
      )}
    </Part>
  );
}

interface BayDialogProps {
  workshop: Workshop;
  bay: Bay | null;
  onClose: () => void;
}

function BayDialog({ workshop: { id: workshopId, zone }, bay, onClose }: BayDialogProps) {
  const readAgain = useReadAgain();
  return (
    <Dialog title={bay === null ? 'A new bay' : `Bay ${bay.name}`} onClose={onClose}>
      <RecordForm
        record={bay}
        valuesOf={(from: Bay | null) => ({
          name: from?.name ?? '',
          kinds: (from?.kinds ?? []).join(', '),
          closures: shownAbsences(from?.closures ?? [], zone),
          retiredOn: from?.retiredOn ?? '',
        })}
        bodyOf={({ name, kinds, closures, retiredOn }) => ({
          name,
          kinds: typedWords(kinds),
          closures: typedAbsences(closures, zone),
          retiredOn: textOrNull(retiredOn),
        })}
        create={(body) =>
          answered(
            api.POST('/v1/workshops/{workshopId}/bays', {
              params: { path: { workshopId } },
              body: without(body, 'retiredOn'),
            }),
          )
        }
        change={(body, base) =>
          answered(
            api.PATCH('/v1/bays/{bayId}', {
              params: { path: { bayId: base.id }, header: ifMatch(base) },
              body,
            }),
          )
        }
        readAgain={({ id }) => answered(api.GET('/v1/bays/{bayId}', { params: { path: { bayId: id } } }))}
        onKept={() => {
          readAgain('workshops', workshopId);
          onClose();
        }}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {fields.text('name', 'Name', { required: true })}
            {fields.text('kinds', 'Serves', {
              hint: 'Every kind of work, separated by commas, as rules name them: lift, flat. A lift may serve flat work too.',
            })}
            <AbsenceFields
              legend="Closures"
              add="Add a closure"
              rows={fields.values.closures}
              place="closures"
              faultAt={fields.faultAt}
              onChange={(closures) => fields.set({ closures })}
            />
            {bay === null
              ? null
              : fields.date('retiredOn', 'Not used from', { hint: 'Empty: it stays in use.' })}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
