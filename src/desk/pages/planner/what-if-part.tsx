import { useQueries, useQuery } from '@tanstack/react-query';
import { Link, useSearchParams } from 'wouter';
import { CheckField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { AssumptionList } from './assumption-list';
import { PlanComparison } from './plan-comparison';
import { isUnderWay, type DowntimePlan } from './plan-words';
import { plan as planQuery, plans } from './planner-data';
import { PlannerPart, useMayPlan } from './planner-part';
import { StartWhatIf } from './start-what-if';

const REREAD_MS = 2_000;

/** Plans that assume something otherwise, beside those that do not. */
export default function WhatIfPart() {
  const mayPlan = useMayPlan();
  const [search, setSearch] = useSearchParams();
  const ids = (search.get('plans') ?? '').split(',').filter((id) => id !== '');
  const all = useQuery(plans);
  const chosen = useQueries({
    queries: ids.map((id) => ({
      ...planQuery(id),
      refetchInterval: ({ state }: { state: { data?: DowntimePlan } }) =>
        state.data !== undefined && isUnderWay(state.data.state) ? REREAD_MS : (false as const),
    })),
  });
  const show = (shown: readonly string[]): void =>
    setSearch(shown.length === 0 ? {} : { plans: shown.join(',') }, { replace: true });
  const read = chosen.flatMap(({ data }) => data ?? []);
  const waiting = read.filter(({ state }) => isUnderWay(state));
  const ready = read.filter(({ outcome, state }) => outcome !== null && state !== 'impossible');
  const impossible = read.filter(({ state }) => state === 'impossible' || state === 'failed');
  const useful = (all.data ?? []).filter(({ state }) => state !== 'failed');
  return (
    <PlannerPart
      title="What if"
      lead="Plan as if something were otherwise, and see what it would change. Nothing is booked by it."
    >
      <ProblemNotice error={all.error ?? chosen.find(({ isError }) => isError)?.error} />
      {mayPlan ? (
        <StartWhatIf
          plans={useful}
          onStarted={(basedOnId, id) => show([...new Set([basedOnId, ...ids, id])])}
        />
      ) : null}
      <section className="sheet stack" aria-label="Plans to compare">
        <h2>Plans to compare</h2>
        {all.isPending ? <Waiting what="plans" /> : null}
        {all.isSuccess && useful.length === 0 ? (
          <p className="soft">
            There is no plan yet. <Link href="/planner/plans">Start one</Link>
          </p>
        ) : null}
        {useful.map(({ id, name, assumptions }) => (
          <div key={id}>
            <CheckField
              label={name}
              checked={ids.includes(id)}
              onChange={(event) =>
                show(event.target.checked ? [...ids, id] : ids.filter((each) => each !== id))
              }
            />
            {assumptions.length === 0 ? null : <AssumptionList assumptions={assumptions} />}
          </div>
        ))}
      </section>
      {waiting.length === 0 ? null : (
        <Notice tone="info" title="Still being made" live>
          <ul>
            {waiting.map(({ id, name }) => (
              <li key={id}>
                <Link href={`/planner/plans/${id}`}>{name}</Link>
              </li>
            ))}
          </ul>
        </Notice>
      )}
      {impossible.map(({ id, name }) => (
        <Notice key={id} tone="bad" title={`${name} cannot be`}>
          <Link href={`/planner/plans/${id}`}>Why it cannot be</Link>
        </Notice>
      ))}
      {ready.length < 2 ? (
        <p className="soft">Choose two plans or more that are ready.</p>
      ) : (
        <PlanComparison plans={ready} />
      )}
    </PlannerPart>
  );
}
