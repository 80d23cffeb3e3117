import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { ProblemError } from '../../api/problem';
import { useCallDraft, type CallDraft } from './call-draft';
import { dueItemsQuery, openBookingsQuery, type FreeTime } from './front-desk-queries';
import styles from './front-desk.module.css';
import { HoldForm } from './hold-form';
import { HoldState } from './hold-state';
import { Times } from './times';
import { useOffers } from './use-offers';
import { VehicleBookings } from './vehicle-bookings';
import { VehicleHead } from './vehicle-head';
import { Visit } from './visit';
import { bookedAt, firstTicks } from './visit-tasks';
import { Work } from './work';

interface CallProps {
  vehicleId: string;
  bookingId: string | null;
  onShow: (bookingId: string | null) => void;
  onNext: () => void;
}

/** Everything about one vehicle that a caller may ask, on one screen. */
export function Call({ vehicleId, bookingId, onShow, onNext }: CallProps) {
  const [draft, change] = useCallDraft(vehicleId);
  const [chosen, choose] = useState<FreeTime | null>(null);
  const [taken, setTaken] = useState<ProblemError | null>(null);
  const [cameBack, setCameBack] = useState(false);
  const { data: due, error } = useQuery(dueItemsQuery(vehicleId));
  const { data: bookings, isError: areBookingsUnknown } = useQuery(openBookingsQuery(vehicleId));
  const isKnown = due !== undefined && (bookings !== undefined || areBookingsUnknown);
  const items = due?.items ?? [];
  const booked = bookedAt(items, bookings?.filter(({ id }) => id !== bookingId) ?? []);
  const ticks =
    draft.ticks?.filter((each) => items.some(({ key }) => key === each)) ?? firstTicks(items, booked);
  const offers = useOffers(vehicleId, draft, isKnown ? ticks : null);

  // other work takes other times: what was free for the old work may be too short
  const changeWork = (part: Partial<CallDraft>): void => {
    change(part);
    choose(null);
    setTaken(null);
  };
  const leave = (): void => {
    choose(null);
    setTaken(null);
    setCameBack(true);
    onShow(null);
  };
  return (
    <div className={styles.call}>
      <VehicleHead vehicleId={vehicleId} />
      <HoldState vehicleId={vehicleId} />
      <div className={styles.columns}>
        <Work
          items={due?.items}
          error={error}
          ticks={ticks}
          booked={booked}
          suggestions={(offers.atHome.data?.suggestions ?? []).filter(
            ({ dueItemKey }) => !booked.has(dueItemKey),
          )}
          extraWork={draft.extraWork}
          isSettled={bookingId !== null}
          onChange={changeWork}
        />
        {bookingId === null ? (
          <Times
            offers={offers}
            chosen={chosen}
            taken={taken}
            notBefore={draft.notBefore}
            hasWork={!isKnown || ticks.length + draft.extraWork.length > 0}
            takesFocus={cameBack}
            onChoose={choose}
            onNotBefore={(notBefore) => changeWork({ notBefore })}
          />
        ) : (
          <Visit
            bookingId={bookingId}
            onLeave={leave}
            onAnother={() => {
              // that work is booked now
              change({ ticks: null, extraWork: [] });
              leave();
            }}
            onNext={onNext}
          />
        )}
        <div className={styles.side}>
          {bookingId === null ? (
            <HoldForm
              vehicleId={vehicleId}
              chosen={chosen}
              ticks={ticks}
              draft={draft}
              onChange={change}
              onHeld={({ id }) => onShow(id)}
              onTaken={(problem) => {
                choose(null);
                setTaken(problem);
                // though somebody may have booked some of this work meanwhile
                change({ ticks });
              }}
            />
          ) : null}
          <VehicleBookings vehicleId={vehicleId} onTakeUp={onShow} />
        </div>
      </div>
    </div>
  );
}
