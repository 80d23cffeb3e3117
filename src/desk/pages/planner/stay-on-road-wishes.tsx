import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Button } from '../../design/button';
import { TextField } from '../../design/field';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import type { ForbiddenDay } from './plan-wishes';
import { vehicles } from './planner-data';

interface StayOnRoadWishesProps {
  /** whose vehicles can be named */
  depotIds: readonly string[];
  wishes: readonly ForbiddenDay[];
  onChange: (wishes: ForbiddenDay[]) => void;
}

/** Days on which a vehicle has to stay on the road in this plan. */
export function StayOnRoadWishes({ depotIds, wishes, onChange }: StayOnRoadWishesProps) {
  const { locale } = useReader();
  const listId = useId();
  const [isOpen, setOpen] = useState(false);
  const all = useQuery({ ...vehicles, enabled: isOpen });
  const [mark, setMark] = useState('');
  const [on, setOn] = useState('');
  const [fault, setFault] = useState('');
  const known = (all.data ?? []).filter(({ depotId }) => depotIds.includes(depotId));
  const markOf = (id: string): string => known.find((each) => each.id === id)?.registrationMark ?? id;
  const add = (): void => {
    const vehicle = known.find(
      ({ registrationMark }) => registrationMark.toLowerCase() === mark.trim().toLowerCase(),
    );
    if (vehicle === undefined || on === '') {
      setFault(
        vehicle === undefined
          ? 'No vehicle of these depots has this mark. Choose one of the list.'
          : 'Choose a day as well.',
      );
      return;
    }
    setFault('');
    setMark('');
    const day = { vehicleId: vehicle.id, on };
    if (!wishes.some((each) => each.vehicleId === day.vehicleId && each.on === on))
      onChange([...wishes, day]);
  };
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Days on which a vehicle stays on the road ({wishes.length})</summary>
      <div className="stack">
        <div className="columns">
          <TextField
            label="Registration mark"
            list={listId}
            value={mark}
            onChange={(event) => setMark(event.target.value)}
            fault={fault}
          />
          <TextField label="Day" type="date" value={on} onChange={(event) => setOn(event.target.value)} />
        </div>
        <datalist id={listId}>
          {known.map(({ id, registrationMark }) => (
            <option key={id} value={registrationMark} />
          ))}
        </datalist>
        <div className="row">
          <Button onClick={add}>Add the day</Button>
        </div>
        <ul>
          {wishes.map((wish) => (
            <li key={`${wish.vehicleId} ${wish.on}`}>
              {markOf(wish.vehicleId)} on {dayText(wish.on, locale)}{' '}
              <Button kind="quiet" onClick={() => onChange(wishes.filter((each) => each !== wish))}>
                Take back
                <span className="unseen">
                  {' '}
                  {markOf(wish.vehicleId)} on {dayText(wish.on, locale)}
                </span>
              </Button>
            </li>
          ))}
        </ul>
      </div>
    </details>
  );
}
