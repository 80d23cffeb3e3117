import { checkEditedPlan } from './edited-plan-check';

// Prints what came of the seeds 1 to the one that is given. Run as a process of its own: planning is several times slower
// within Jest.
const seeds = Array.from({ length: Number(process.argv[2]) }, (_, at) => at + 1);
console.log(JSON.stringify(seeds.map(checkEditedPlan)));
