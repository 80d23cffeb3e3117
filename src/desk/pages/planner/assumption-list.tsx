import { useQuery } from '@tanstack/react-query';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { assumptionWords, type Assumption } from './assumption-words';
import { baysOf, depots, workshops } from './planner-data';

/** What a plan takes for granted though it is not so, in sentences. */
export function AssumptionList({ assumptions }: { assumptions: readonly Assumption[] }) {
  return (
    <ul>
      {assumptions.map((assumption, at) => (
        <li key={at}>
          <AssumptionText assumption={assumption} />
        </li>
      ))}
    </ul>
  );
}

export function AssumptionText({ assumption }: { assumption: Assumption }) {
  const { locale } = useReader();
  const allDepots = useQuery(depots);
  const allWorkshops = useQuery(workshops);
  const bays = useQuery(baysOf(assumption.kind === 'bay-closed' ? (assumption.workshopId ?? '') : ''));
  const all = [allDepots.data ?? [], allWorkshops.data ?? [], bays.data ?? []].flat();
  const nameOf = (id: string): string | undefined => all.find((each) => each.id === id)?.name;
  return assumptionWords(assumption, nameOf, (on) => dayText(on, locale));
}
