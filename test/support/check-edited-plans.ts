import { checkEditedPlan, type EditedPlan } from './edited-plan-check';

// Prints what came of the seeds 1 to the one that is given. Run as a process of its own: planning is several times slower
// within Jest.
const seeds = Array.from({ length: Number(process.argv[2]) }, (_, at) => at + 1);
async function main(): Promise<void> {
  const checked: EditedPlan[] = [];
  for (const seed of seeds) checked.push(await checkEditedPlan(seed));
  console.log(JSON.stringify(checked));
}
void main();
