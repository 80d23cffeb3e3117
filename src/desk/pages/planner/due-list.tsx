import { useState } from 'react';
import { Link } from 'wouter';
import { Button } from '../../design/button';
import { StateMark } from '../../design/state-mark';
import { dayText, minutesText, weekText } from '../../format/days';
import { useReader } from '../../session/session';
import { DueItemReasoning } from './due-item-reasoning';
import type { FleetDueItem } from './due-matrix';
import { DUE_WORDS } from './due-words';

interface DueListProps {
  depot: string;
  weekOn: string | null;
  items: readonly FleetDueItem[];
  onClose: () => void;
}

/** The work of one field of the matrix. */
export function DueList({ depot, weekOn, items, onClose }: DueListProps) {
  const { locale } = useReader();
  const [explained, setExplained] = useState<string | null>(null);
  const title = `${depot}, ${weekOn === null ? 'before this week' : weekText(weekOn)}`;
  return (
    <section className="sheet stack" aria-label={title}>
      <div className="row spread">
        <h2>{title}</h2>
        <Button onClick={onClose}>Close the list</Button>
      </div>
      <div className="scroll" role="region" aria-label={`Due work: ${title}`} tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">Vehicle</th>
              <th scope="col">Work</th>
              <th scope="col">State</th>
              <th scope="col">Due</th>
              <th scope="col">Window</th>
              <th scope="col">Time</th>
              <th scope="col">
                <span className="unseen">Reasoning</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {items.map((item) => (
              <tr key={item.id}>
                <td>
                  <Link href={`/vehicles/${item.vehicleId}`}>{item.registrationMark}</Link>
                </td>
                <td>
                  {item.title}
                  {item.safetyCritical ? (
                    <>
                      <br />
                      <StateMark tone="bad">Safety-critical</StateMark>
                    </>
                  ) : null}
                </td>
                <td>
                  <StateMark tone={DUE_WORDS[item.state].tone}>{DUE_WORDS[item.state].words}</StateMark>
                </td>
                <td>{item.dueOn === null ? 'no date' : dayText(item.dueOn, locale)}</td>
                <td>
                  {item.earlyOn === null || item.lateOn === null
                    ? '–'
                    : `${dayText(item.earlyOn, locale)} to ${dayText(item.lateOn, locale)}`}
                </td>
                <td>{item.labourMinutes === null ? 'not known' : minutesText(item.labourMinutes)}</td>
                <td>
                  <Button
                    aria-label={`Why? ${item.registrationMark}, ${item.title}`}
                    aria-expanded={explained === item.id}
                    onClick={() => setExplained(explained === item.id ? null : item.id)}
                  >
                    Why?
                  </Button>
                  {explained === item.id ? <DueItemReasoning dueItemId={item.id} /> : null}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
