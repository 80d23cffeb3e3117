import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { textTable } from '../../src/cli/text-table';
import type { Figure } from './figures';
import type { PlanRun } from './plan-bench-run';

const SIZES = [20, 100, 500, 2_000, 10_000];
const ROOT = join(__dirname, '../..');

/**
 * Plans of 90 days of made-up fleets, at the budget that the product takes by itself: how far from the best possible they
 * are at most, and what they take. One process for each, so that the memory is that of one plan.
 */
export async function benchPlanning(): Promise<Figure[]> {
  const runs: PlanRun[] = [];
  for (const vehicles of SIZES) runs.push(await runOf(vehicles));
  console.log(
    textTable(
      [
        'vehicles',
        'items',
        'cost',
        'bound',
        'gap %',
        'left out',
        'naive cost',
        'left out',
        'cost ÷ naive',
        'without left out',
        'seconds',
        'of a processor',
        'MB',
      ],
      runs.map((run) =>
        [
          run.vehicles,
          run.items,
          run.cost,
          Math.round(run.bound),
          run.gapPercent.toFixed(2),
          run.leftOut,
          run.naiveCost,
          run.naiveLeftOut,
          (run.cost / run.naiveCost).toFixed(3),
          (run.doneCost / run.naiveDoneCost).toFixed(3),
          run.wallSeconds.toFixed(1),
          run.processorSeconds.toFixed(1),
          run.rssMb.toFixed(0),
        ].map(String),
      ),
    ),
  );
  const of = (vehicles: number): PlanRun => runs.find((run) => run.vehicles === vehicles)!;
  const [large, largest] = [of(2_000), of(10_000)];
  return [
    ...runs
      .filter(({ vehicles }) => vehicles >= 100)
      .flatMap((run): Figure[] => [
        {
          key: `plan_gap_${run.vehicles}`,
          value: run.gapPercent,
          unit: '%',
          comparison: `cost of the plan above what no plan of these ${run.vehicles} vehicles and ${run.items} items undercuts`,
        },
        {
          key: `plan_seconds_${run.vehicles}`,
          value: run.wallSeconds,
          unit: 's',
          comparison: `plan and bound, one thread; ${run.processorSeconds.toFixed(1)} s of a processor`,
        },
      ]),
    {
      key: 'plan_rss_mb_10000',
      value: largest.rssMb,
      unit: 'MB',
      comparison: `peak of the process that made the problem and planned it`,
    },
    {
      key: 'plan_cost_ratio_2000',
      value: large.doneCost / large.naiveDoneCost,
      unit: '',
      comparison: `each item on its due date or the next free day; what is left out (${large.leftOut} items, there ${large.naiveLeftOut}) is charged to neither`,
    },
  ];
}

async function runOf(vehicles: number): Promise<PlanRun> {
  const args = [
    '--require',
    join(ROOT, 'test/support/require-typescript.js'),
    join(__dirname, 'plan-bench-run.ts'),
    String(vehicles),
  ];
  const { stdout } = await promisify(execFile)(process.execPath, args, { cwd: ROOT });
  return JSON.parse(stdout) as PlanRun;
}
