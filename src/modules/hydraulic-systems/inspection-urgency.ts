import type { LayoutConclusions } from '../../core/hydraulics/derive-from-layout';

/** Most urgent first. */
export const INSPECTION_URGENCIES = [
  'safety-finding-stands',
  'safety-finding-possible',
  'before-work',
  'next-visit',
] as const;

export type InspectionUrgency = (typeof INSPECTION_URGENCIES)[number];

/** How soon somebody has to look at the vehicle; null where nothing is left to look at. */
export function urgencyOf({
  safetyFindings,
  inspections,
}: Pick<LayoutConclusions, 'safetyFindings' | 'inspections'>): InspectionUrgency | null {
  if (safetyFindings.some(({ status }) => status === 'stands')) return 'safety-finding-stands';
  if (safetyFindings.length > 0) return 'safety-finding-possible';
  if (inspections.some(({ urgency }) => urgency === 'before-work')) return 'before-work';
  return inspections.length > 0 ? 'next-visit' : null;
}
