import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type PlanDraft, type PlanProblem } from '../../src/core/downtime-plan/plan-problem';

// The generalised assignment problems gap1 to gap6 of the OR-Library (J. E. Beasley, "OR-Library: distributing test
// problems by electronic mail", Journal of the Operational Research Society 41 (1990) 1069-1072) and the maxima that it
// publishes. A file holds the number of problems; then for each: agents, jobs; the profit of every job by agent; what
// it takes of the agent, by agent; what each agent has.
const PUBLISHED_MAXIMA: Readonly<Record<string, readonly number[]>> = {
  gap1: [336, 327, 339, 341, 326],
  gap2: [434, 436, 420, 419, 428],
  gap3: [580, 564, 573, 570, 564],
  gap4: [656, 644, 673, 647, 664],
  gap5: [563, 558, 564, 568, 559],
  gap6: [761, 759, 758, 752, 747],
};

// above every profit, but no more than that: the search is as bold as visits are dear
const BASE_COST = 40;
// out of reach even for all jobs together
const LEFT_OUT_COST = 100_000;

export interface AssignmentProblem {
  /** such as gap1-0 */
  name: string;
  /** the published maximum of the profit */
  optimum: number;
  /** what a plan of that profit costs */
  optimumCost: number;
  problem: PlanProblem;
  profitOf: (draft: PlanDraft) => number;
}

/**
 * The thirty problems as plans of a single day: a job is a vehicle with one item, an agent a workshop. What a job takes
 * depends on the agent, so each agent has a resource of its own, of which the other agents have ample.
 */
export function assignmentProblems(): AssignmentProblem[] {
  return Object.entries(PUBLISHED_MAXIMA).flatMap(([file, maxima]) => {
    const numbers = readFileSync(join(__dirname, 'assignment', `${file}.txt`), 'utf8')
      .trim()
      .split(/\s+/)
      .map(Number);
    let at = 0;
    const take = (count: number): number[] => numbers.slice(at, (at += count));
    const [problemCount] = take(1);
    if (problemCount !== maxima.length) throw new Error(`${file} holds ${problemCount} problems`);
    return maxima.map((optimum, index) => {
      const [agents = 0, jobs = 0] = take(2);
      const profits = Array.from({ length: agents }, () => take(jobs));
      const takes = Array.from({ length: agents }, () => take(jobs));
      return asPlan(`${file}-${index}`, optimum, profits, takes, take(agents));
    });
  });
}

function asPlan(
  name: string,
  optimum: number,
  profits: readonly number[][],
  takes: readonly number[][],
  has: readonly number[],
): AssignmentProblem {
  const jobs = profits[0]!.map((_, job) => job);
  const ample = takes.flat().reduce((sum, each) => sum + each, jobs.length);
  return {
    name,
    optimum,
    optimumCost: jobs.length * BASE_COST - optimum,
    problem: {
      dayCount: 1,
      resources: ['bays', ...has.map((_, agent) => `agent ${agent}`)],
      workshops: has.map((own, agent) => ({
        freeMinutes: Int32Array.from([ample, ...has.map((_, other) => (other === agent ? own : ample))]),
        visitMinutes: Int32Array.of(1),
        keepsOvernight: false,
      })),
      depots: [{ spareVehicles: Int32Array.of(jobs.length) }],
      vehicles: jobs.map((job) => ({
        depot: 0,
        reach: profits.map((ofAgent, agent) => ({ workshop: agent, visitCost: BASE_COST - ofAgent[job]! })),
        blackoutDays: [],
        items: [
          {
            minutes: [1, ...takes.map((ofAgent) => ofAgent[job]!)],
            earliestDay: 0,
            latestDay: 0,
            dueDay: 0,
            dayCosts: Int32Array.of(0),
            leftOutCost: LEFT_OUT_COST,
            doFirst: [],
            settles: [],
          },
        ],
      })),
    },
    profitOf: ({ visits }) =>
      visits.reduce((sum, { vehicle, workshop }) => sum + profits[workshop]![vehicle]!, 0),
  };
}
