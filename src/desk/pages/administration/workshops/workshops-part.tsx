import { useMemo, useState } from 'react';
import { Link, useLocation } from 'wouter';
import type { Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Dialog } from '../../../design/dialog';
import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { column } from '../parts/columns';
import { useReadAgain, useWorkshops } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { WorkshopForm } from './workshop-form';

type Workshop = Schemas['WorkshopDto'];

export function WorkshopsPart() {
  const workshops = useWorkshops();
  const readAgain = useReadAgain();
  const [, navigate] = useLocation();
  const { locale } = useReader();
  const [adding, setAdding] = useState(false);
  const columns = useMemo(
    () => [
      column<Workshop>(
        'Workshop',
        ({ name }) => name,
        ({ id, name }) => <Link href={`/administration/workshops/${id}`}>{name}</Link>,
      ),
      column<Workshop>('Time zone', ({ zone }) => zone),
      column<Workshop>('Public holidays', ({ holidayRegion }) => holidayRegion ?? 'none'),
      column<Workshop>('Own key', ({ externalKey }) => externalKey ?? '–'),
      column<Workshop>(
        'State',
        ({ retiredOn }) => retiredOn ?? '',
        ({ retiredOn }) =>
          retiredOn === null ? (
            <StateMark tone="good">in use</StateMark>
          ) : (
            <StateMark tone="unknown">takes no work from {dayText(retiredOn, locale)}</StateMark>
          ),
      ),
    ],
    [locale],
  );
  return (
    <Part title="All workshops" tools={<Button onClick={() => setAdding(true)}>Add a workshop</Button>}>
      <Listed what="the workshops" query={workshops}>
        {(rows) => (
          <DataTable
            caption="Workshops"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No workshop yet."
          />
        )}
      </Listed>
      {adding ? (
        <Dialog title="A new workshop" onClose={() => setAdding(false)}>
          <WorkshopForm
            workshop={null}
            onKept={({ id }) => {
              readAgain('workshops');
              navigate(`/administration/workshops/${id}`);
            }}
            onCancel={() => setAdding(false)}
          />
        </Dialog>
      ) : null}
    </Part>
  );
}
