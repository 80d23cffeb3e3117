import { useMemo, useState } from 'react';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { CheckField } from '../../../design/field';
import { Validity } from '../access/validity';
import { actions, column } from '../parts/columns';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { useDepots, useReadAgain, useWholeList, useWorkshops } from '../parts/lists';
import { Listed } from '../parts/listed';
import { Part } from '../parts/part';
import { ShownOnce } from '../parts/shown-once';
import { useMomentText } from '../parts/use-moment-text';
import { CalendarDialog } from './calendar-dialog';

type Feed = Schemas['CalendarFeedDto'];
type FeedWithAddress = Schemas['CalendarFeedWithAddressDto'];
type Shown =
  | { act: 'new' }
  | { act: 'rotate' | 'revoke'; feed: Feed }
  | { act: 'address'; feed: FeedWithAddress }
  | null;

export default function CalendarsSection() {
  const [revokedToo, setRevokedToo] = useState(false);
  const feeds = useWholeList(['calendars', String(revokedToo)], (query) =>
    answered(api.GET('/v1/calendar-feeds', { params: { query: { ...query, includeRevoked: revokedToo } } })),
  );
  const { data: workshops } = useWorkshops();
  const { data: depots } = useDepots();
  const momentText = useMomentText();
  const [shown, setShown] = useState<Shown>(null);
  const columns = useMemo(() => {
    const placeOf = ({ workshopId, depotId }: Feed) =>
      workshopId === null
        ? `Off-road days, ${depots?.find(({ id }) => id === depotId)?.name ?? 'a depot'}`
        : `Diary, ${workshops?.find(({ id }) => id === workshopId)?.name ?? 'a workshop'}`;
    return [
      column<Feed>('For', ({ label }) => label),
      column<Feed>('Shows', placeOf),
      column<Feed>('Names of people', ({ withNames }) => (withNames ? 'shown' : 'left out')),
      column<Feed>(
        'Last read',
        ({ lastReadAt }) => lastReadAt ?? '',
        ({ lastReadAt }) => (lastReadAt === null ? 'never' : momentText(lastReadAt)),
      ),
      column<Feed>(
        'State',
        ({ revokedAt }) => revokedAt ?? '',
        ({ revokedAt }) => <Validity revokedAt={revokedAt} endsAt={null} />,
      ),
      actions<Feed>((feed) =>
        feed.revokedAt !== null ? null : (
          <>
            <Button
              kind="quiet"
              aria-label={`New address for ${feed.label}`}
              onClick={() => setShown({ act: 'rotate', feed })}
            >
              New address
            </Button>
            <Button
              kind="quiet"
              aria-label={`Revoke feed ${feed.label}`}
              onClick={() => setShown({ act: 'revoke', feed })}
            >
              Revoke
            </Button>
          </>
        ),
      ),
    ];
  }, [workshops, depots, momentText]);
  return (
    <Part title="Feeds" tools={<Button onClick={() => setShown({ act: 'new' })}>Make a feed</Button>}>
      <CheckField
        label="Show revoked ones too"
        checked={revokedToo}
        onChange={({ target }) => setRevokedToo(target.checked)}
      />
      <Listed what="the feeds" query={feeds}>
        {(rows) => (
          <DataTable
            caption="Calendar feeds"
            columns={columns}
            rows={rows}
            rowId={({ id }) => id}
            empty="No feed. With one, the calendar on a phone or a wall shows a diary without anybody signing in."
          />
        )}
      </Listed>
      <FeedDialogs shown={shown} show={setShown} />
    </Part>
  );
}

function FeedDialogs({ shown, show }: { shown: Shown; show: (shown: Shown) => void }) {
  const readAgain = useReadAgain();
  if (shown === null) return null;
  const close = () => show(null);
  const showAddress = (feed: FeedWithAddress) => {
    readAgain('calendars');
    show({ act: 'address', feed });
  };
  switch (shown.act) {
    case 'new':
      return <CalendarDialog onMade={showAddress} onClose={close} />;
    case 'address':
      return (
        <ShownOnce
          title={`Feed ${shown.feed.label}`}
          label="Address"
          secret={shown.feed.address}
          onClose={close}
        >
          <p>
            Whoever knows the address reads the calendar. Give it to nobody else, and revoke it when it got
            about.
          </p>
        </ShownOnce>
      );
    case 'rotate':
      return (
        <ConfirmDialog
          title={`A new address for ${shown.feed.label}?`}
          action="Make a new address"
          onConfirm={() =>
            answered(
              api.POST('/v1/calendar-feeds/{calendarFeedId}/rotate', {
                params: { path: { calendarFeedId: shown.feed.id } },
              }),
            )
          }
          onDone={showAddress}
          onClose={close}
        >
          <p>The present address ends at once: every calendar that reads it has to be given the new one.</p>
        </ConfirmDialog>
      );
    case 'revoke':
      return (
        <ConfirmDialog
          title={`Revoke feed ${shown.feed.label}?`}
          action="Revoke it"
          onConfirm={() =>
            answered(
              api.DELETE('/v1/calendar-feeds/{calendarFeedId}', {
                params: { path: { calendarFeedId: shown.feed.id }, header: ifMatch(shown.feed) },
              }),
            )
          }
          onDone={() => {
            readAgain('calendars');
            close();
          }}
          onClose={close}
        >
          <p>
            Every calendar that reads it, <b>{shown.feed.label}</b> first of all, gets nothing more. It cannot
            be taken back.
          </p>
        </ConfirmDialog>
      );
  }
}
