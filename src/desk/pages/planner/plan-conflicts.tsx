import { Link } from 'wouter';
import type { Schemas } from '../../api/client';
import { Notice } from '../../design/notice';
import { useTold } from '../../session/use-told';

/** What cannot be, each with the fewest facts that rule it out together. */
export function PlanConflicts({
  conflicts,
  impossible,
}: {
  conflicts: readonly Schemas['PlanConflictDto'][];
  impossible: boolean;
}) {
  const told = useTold();
  if (conflicts.length === 0) return null;
  return (
    <section className="stack" aria-label="What cannot be">
      <h2>{impossible ? 'Your wishes cannot all be met' : 'What cannot be done in time'}</h2>
      {impossible ? (
        <p>Each of them is ruled out by the facts under it. Let one of these go, then plan again.</p>
      ) : null}
      <div className="columns">
        {conflicts.map(({ vehicleId, registrationMark, wanted, facts }, at) => (
          <Notice
            key={at}
            tone={impossible ? 'bad' : 'warn'}
            title={
              <>
                <Link href={`/vehicles/${vehicleId}`}>{registrationMark}</Link>: {told(wanted)}
              </>
            }
          >
            <ul>
              {facts.map((fact) => (
                <li key={fact}>{told(fact)}</li>
              ))}
            </ul>
          </Notice>
        ))}
      </div>
    </section>
  );
}
