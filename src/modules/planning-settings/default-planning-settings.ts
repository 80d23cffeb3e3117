import type { ReplacePlanningSettingsDto } from './dto/write-planning-settings.dto';

/**
 * What a plan goes by until the organisation says otherwise. Every figure is common practice, no published source: the
 * orders of magnitude of a small workshop, chosen so that a safety-critical item is not put off for the sake of one
 * visit saved. An operator replaces them by figures of its own books.
 */
export const DEFAULT_PLANNING_SETTINGS: ReplacePlanningSettingsDto = {
  currency: 'EUR',
  // half a day without the vehicle, somebody to drive it there and back, a spare one on its round
  visitLossMinor: 15_000,
  // parts and an hour of work, as a fluid change or a gas unit takes them
  valuePerItemMinor: 12_000,
  valueByTask: [],
  // two late days outweigh a visit
  riskPerLateDayMinor: { safetyCritical: 8_000, other: 800 },
  // far beyond a visit, so that work is only left out where no date is possible
  leftOutMinor: 500_000,
  horizonDays: 90,
};
