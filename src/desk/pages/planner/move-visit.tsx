import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { addDays } from '../../../core/shared/calendar-date';
import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import type { DowntimePlan } from './plan-words';
import type { PlannedVisit } from './plan-wishes';
import { workshops } from './planner-data';

interface MoveVisitProps {
  visit: PlannedVisit;
  plan: DowntimePlan;
  onMove: (to: { on: string; workshopId: string }) => void;
}

/** Another day or workshop for a visit; what it comes to is seen when the plan is made again. */
export function MoveVisit({ visit, plan, onMove }: MoveVisitProps) {
  const { locale } = useReader();
  const all = useQuery(workshops);
  const [on, setOn] = useState(visit.on);
  const [workshopId, setWorkshopId] = useState(visit.workshopId);
  const lastOn = addDays(plan.untilOn, -1);
  const within = plan.fromOn <= on && on <= lastOn;
  return (
    <details>
      <summary>Move it</summary>
      <div className="stack">
        <TextField
          label="To the day"
          type="date"
          min={plan.fromOn}
          max={lastOn}
          value={on}
          onChange={(event) => setOn(event.target.value)}
          fault={
            within
              ? undefined
              : `It is not within the plan: give a day from ${dayText(plan.fromOn, locale)} to ${dayText(lastOn, locale)}.`
          }
        />
        <SelectField
          label="To the workshop"
          value={workshopId}
          onChange={(event) => setWorkshopId(event.target.value)}
        >
          {(all.data ?? [])
            .filter(({ id, retiredOn }) => retiredOn === null || id === visit.workshopId)
            .map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
        </SelectField>
        <div className="row">
          <Button disabled={!within} onClick={() => onMove({ on, workshopId })}>
            Move and lock it there
          </Button>
        </div>
      </div>
    </details>
  );
}
