import type { MeterContradiction, WorkJudgement } from '../due-items/reported-work';
import type { CompletedWork } from './completed-work';

/** What deserves a second look in work that was recorded all the same. */
export function completionWarnings(work: CompletedWork, judgement: WorkJudgement | null): string[] {
  if (judgement === null)
    return ['vehicleId: the vehicle is retired; it owes nothing, so nothing is settled'];
  const { knownTasks, knownPositions, contradictions } = judgement;
  return [
    ...taskWarnings(work.task, knownTasks),
    ...(work.position === null || knownPositions.includes(work.position)
      ? []
      : [
          `position: the vehicle has no gas unit at "${work.position}" as far as its layout is recorded; ` +
            `known positions: ${knownPositions.join(', ')}`,
        ]),
    ...contradictions.map(contradictionWarning),
  ];
}

function taskWarnings(task: string, knownTasks: readonly string[] | null): string[] {
  if (knownTasks === null)
    return ['task: no service programme is in force for the vehicle, so nothing is settled'];
  return knownTasks.includes(task)
    ? []
    : [
        `task: no rule of the vehicle's service programme asks for "${task}"; known tasks: ${knownTasks.join(', ')}`,
      ];
}

function contradictionWarning({ meter, reportedTotal, reading, how }: MeterContradiction): string {
  const [field, unit] = meter === 'odometer' ? ['odometerValue', 'km'] : ['engineHours', 'h'];
  const side = how === 'below-an-earlier-reading' ? 'less than the earlier' : 'more than the later';
  return (
    `${field}: ${rounded(reportedTotal)} ${unit} in all is ${side} reading of ` +
    `${rounded(reading.total)} ${unit} on ${reading.on}`
  );
}

const rounded = (total: number): string => String(Math.round(total * 10) / 10);
