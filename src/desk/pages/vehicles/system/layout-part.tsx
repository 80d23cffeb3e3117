import { useQuery } from '@tanstack/react-query';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { dayText, momentText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { actorWords } from '../../../format/words';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { FACT_NAMES } from './facts';
import { LayoutForm } from './layout-form';

/** What somebody has seen of the fluid system, and recording more of it. */
export default function LayoutPart({ vehicle, zone }: VehiclePartProps) {
  const { locale } = useReader();
  const { data: system, error } = useQuery(vehicleQueries(vehicle.id).system);
  if (system === undefined)
    return error === null ? <Waiting what="what was seen" /> : <ProblemNotice error={error} />;
  const evidence = Object.entries(system.evidence) as [
    keyof typeof FACT_NAMES,
    { seenBy: string; seenOn: string; how: string },
  ][];
  return (
    <section className="stack" aria-labelledby="layout">
      <h2 id="layout">What was seen of the fluid system</h2>
      {system.recordedAt === null ? (
        <p>Nothing is recorded yet. Record only what somebody has seen; the rest stays “not verified”.</p>
      ) : (
        <p className="soft">
          Last recorded {momentText(system.recordedAt, zone, locale)} by {actorWords(system.recordedBy ?? '')}
          .
        </p>
      )}
      <LayoutForm key={system.revision} vehicle={vehicle} zone={zone} system={system} />
      {evidence.length === 0 ? null : (
        <>
          <h3>Who saw what</h3>
          <ul>
            {evidence.map(([fact, { seenBy, seenOn, how }]) => (
              <li key={fact}>
                {FACT_NAMES[fact]}: {seenBy}, {dayText(seenOn, locale)}: {how}
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
