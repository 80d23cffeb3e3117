import { DEFAULT_PLANNING_SETTINGS } from '../default-planning-settings';
import type { PlanningSettings } from '../planning-settings.entity';
import { ReplacePlanningSettingsDto } from './write-planning-settings.dto';

/** What downtime plans of the organisation weigh against each other, in money. */
export class PlanningSettingsDto extends ReplacePlanningSettingsDto {
  /** Nothing was ever set: these are the defaults, which are rules of thumb. */
  isDefault!: boolean;
  revision!: number;
}

export function toPlanningSettingsDto(settings: PlanningSettings | null): PlanningSettingsDto {
  if (settings === null) return { ...DEFAULT_PLANNING_SETTINGS, isDefault: true, revision: 0 };
  return {
    currency: settings.currency,
    visitLossMinor: settings.visitLossMinor,
    valuePerItemMinor: settings.valuePerItemMinor,
    valueByTask: settings.valueByTask,
    riskPerLateDayMinor: {
      safetyCritical: settings.riskPerLateDaySafetyCriticalMinor,
      other: settings.riskPerLateDayOtherMinor,
    },
    leftOutMinor: settings.leftOutMinor,
    horizonDays: settings.horizonDays,
    isDefault: false,
    revision: settings.revision,
  };
}
