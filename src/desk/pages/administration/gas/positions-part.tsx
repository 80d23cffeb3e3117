import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { actions, column } from '../parts/columns';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { usePositions, useReadAgain } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { RecordForm } from '../parts/record-form';
import { without } from '../parts/three-way';
import { unitRoleChoices, unitRoleNames } from './unit-roles';

type Position = Schemas['UnitPositionDto'];
type OwnPosition = Position & { id: string };
type Shown = { act: 'edit'; position: OwnPosition | null } | { act: 'delete'; position: OwnPosition } | null;

const isOwn = (position: Position): position is OwnPosition => position.id !== null;

export function PositionsPart() {
  const positions = usePositions();
  const readAgain = useReadAgain();
  const [shown, setShown] = useState<Shown>(null);
  const columns = useMemo(
    () => [
      column<Position>('Position', ({ name }) => name),
      column<Position>(
        'Code',
        ({ code }) => code,
        ({ code }) => <span className="digits">{code}</span>,
      ),
      column<Position>('A unit there is a', ({ role }) => unitRoleNames[role]),
      column<Position>('From', ({ standard }) => (standard ? 'standard' : 'own')),
      actions<Position>((position) =>
        isOwn(position) ? (
          <>
            <Button
              kind="quiet"
              onClick={() => setShown({ act: 'edit', position })}
              aria-label={`Change position ${position.name}`}
            >
              Change
            </Button>
            <Button
              kind="quiet"
              onClick={() => setShown({ act: 'delete', position })}
              aria-label={`Delete position ${position.name}`}
            >
              Delete
            </Button>
          </>
        ) : null,
      ),
    ],
    [],
  );
  const done = () => {
    readAgain('positions');
    setShown(null);
  };
  return (
    <Part
      title="Positions"
      tools={<Button onClick={() => setShown({ act: 'edit', position: null })}>Add a position</Button>}
    >
      <Listed what="the positions" query={positions}>
        {(rows) => (
          <DataTable
            caption="Positions of gas units"
            columns={columns}
            rows={rows}
            rowId={({ code }) => code}
            empty="No position yet."
          />
        )}
      </Listed>
      {shown?.act === 'edit' ? (
        <PositionDialog position={shown.position} onKept={done} onClose={() => setShown(null)} />
      ) : null}
      {shown?.act === 'delete' ? (
        <ConfirmDialog
          title={`Delete position ${shown.position.name}?`}
          action="Delete it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/unit-positions/{unitPositionId}', {
                params: { path: { unitPositionId: shown.position.id }, header: ifMatch(shown.position) },
              }),
            )
          }
          onDone={done}
          onClose={() => setShown(null)}
        >
          <p>Nothing can be fitted there any more. A position that records name is not deleted.</p>
        </ConfirmDialog>
      ) : null}
    </Part>
  );
}

interface PositionDialogProps {
  position: OwnPosition | null;
  onKept: () => void;
  onClose: () => void;
}

function PositionDialog({ position, onKept, onClose }: PositionDialogProps) {
  return (
    <Dialog title={position === null ? 'A new position' : position.name} onClose={onClose}>
      <RecordForm
        record={position}
        valuesOf={(from: Position | null) => ({
          code: from?.code ?? '',
          name: from?.name ?? '',
          role: from?.role ?? 'other',
        })}
        bodyOf={({ code, name, role }) => ({ code, name, role })}
        create={(body) => answered(api.POST('/v1/unit-positions', { body }))}
        change={(body, base) =>
          answered(
            api.PATCH('/v1/unit-positions/{unitPositionId}', {
              params: { path: { unitPositionId: base.id }, header: ifMatch(base) },
              body: without(body, 'code'),
            }),
          )
        }
        readAgain={async ({ id }) => ({
          ...(await answered(
            api.GET('/v1/unit-positions/{unitPositionId}', { params: { path: { unitPositionId: id } } }),
          )),
          id,
        })}
        onKept={onKept}
        onCancel={onClose}
      >
        {(fields) => (
          <>
            {position === null
              ? fields.text('code', 'Code', {
                  required: true,
                  hint: 'Small letters, digits and hyphens. Records name the position by it, so it stays.',
                })
              : null}
            {fields.text('name', 'Name', { required: true })}
            {fields.select('role', 'A unit there is a', unitRoleChoices)}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
