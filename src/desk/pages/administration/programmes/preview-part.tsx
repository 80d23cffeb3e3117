import { useMutation } from '@tanstack/react-query';
import { Link } from 'wouter';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { Notice, ProblemNotice } from '../../../design/notice';
import { dayText } from '../../../format/days';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { useMemo } from 'react';
import { column } from '../parts/columns';
import { Part } from '../parts/part';
import type { Version } from './programme-reads';
import styles from './programmes.module.css';

type Preview = Schemas['ProgrammePreviewDto'];
type Moved = Preview['moved'][number];

const SHOWN_MOVES = 200;
const COUNTS: Record<keyof Preview['counts'], string> = {
  vehicles: 'Vehicles that follow the programme',
  unchanged: 'Due items that stay as they are',
  windowMoved: 'Same day, another window',
  earlier: 'Earlier',
  later: 'Later',
  new: 'Newly owed',
  gone: 'No longer owed',
  becameUndetermined: 'No longer to be told',
  becameDetermined: 'Now to be told',
  newlyOverdue: 'Overdue today that are not now',
  noLongerOverdue: 'No longer overdue',
  vehiclesNewlyOnSafetyHold: 'Vehicles newly on hold',
  vehiclesOffSafetyHold: 'Vehicles off hold',
};
const MOVES: Record<Moved['move'], string> = {
  'window-moved': 'another window',
  earlier: 'earlier',
  later: 'later',
  new: 'newly owed',
  gone: 'no longer owed',
  'became-undetermined': 'no longer to be told',
  'became-determined': 'now to be told',
};

/** What the draft would move if it were in force today. */
export function PreviewPart({ version }: { version: Version }) {
  const preview = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/service-programmes/{programmeId}/versions/{versionId}/preview', {
          params: {
            path: { programmeId: version.programmeId, versionId: version.id },
            query: { limit: SHOWN_MOVES },
          },
        }),
      ),
  });
  return (
    <Part
      title="What it would move"
      tools={
        <Button busy={preview.isPending} onClick={() => preview.mutate()}>
          {preview.data === undefined ? 'Work it out' : 'Work it out again'}
        </Button>
      }
    >
      <ProblemNotice error={preview.error} />
      {preview.isPending ? <p role="status">Computing the due items of every vehicle …</p> : null}
      {preview.data === undefined ? (
        preview.isIdle ? (
          <p className="soft">Look at it before you publish. Nothing is changed by looking.</p>
        ) : null
      ) : (
        <PreviewShown preview={preview.data} />
      )}
    </Part>
  );
}

function PreviewShown({ preview: { counts, moved, movedCount } }: { preview: Preview }) {
  const { locale } = useReader();
  const columns = useMemo(() => {
    const day = (on: string | null) => (on === null ? '–' : dayText(on, locale));
    return [
      column<Moved>(
        'Vehicle',
        ({ registrationMark }) => registrationMark,
        ({ vehicleId, registrationMark }) => <Link href={`/vehicles/${vehicleId}`}>{registrationMark}</Link>,
      ),
      column<Moved>('Work', ({ title, position }) => (position === null ? title : `${title}, ${position}`)),
      column<Moved>('Becomes', ({ move }) => MOVES[move]),
      column<Moved>('Days', ({ movedDays }) => movedDays ?? '–'),
      column<Moved>(
        'Due now',
        ({ dueOnBefore }) => dueOnBefore ?? '',
        ({ dueOnBefore }) => day(dueOnBefore),
      ),
      column<Moved>(
        'Due then',
        ({ dueOnAfter }) => dueOnAfter ?? '',
        ({ dueOnAfter }) => day(dueOnAfter),
      ),
    ];
  }, [locale]);
  return (
    <>
      {counts.vehiclesNewlyOnSafetyHold > 0 ? (
        <Notice
          tone="bad"
          title={`${counts.vehiclesNewlyOnSafetyHold} vehicles would be on hold today: safety-critical work overdue.`}
        />
      ) : null}
      <dl className={styles.counts}>
        {(Object.keys(COUNTS) as (keyof Preview['counts'])[]).map((key) => (
          <div key={key}>
            <dt>{COUNTS[key]}</dt>
            <dd>{numberText(counts[key], locale, 0)}</dd>
          </div>
        ))}
      </dl>
      {movedCount > moved.length ? (
        <p className="soft">
          The {moved.length} largest of {numberText(movedCount, locale, 0)} moves:
        </p>
      ) : null}
      <DataTable
        caption="Due items that would move"
        columns={columns}
        rows={moved}
        rowId={({ vehicleId, key }) => `${vehicleId} ${key}`}
        empty="No due item would move."
      />
    </>
  );
}
