import { numberText } from '../../../format/units';
import type { Rule } from './rule-values';

/** When a rule asks for its task, in short, such as `every 24 months or 60,000 km`. */
export function ruleText(rule: Rule, locale: string): string {
  const count = (value: number): string => numberText(value, locale, 0);
  const amounts = (
    months?: number | null,
    days?: number | null,
    km?: number | null,
    hours?: number | null,
  ): string[] => [
    ...(months != null || days != null
      ? [
          [months != null ? `${count(months)} months` : '', days != null ? `${count(days)} days` : '']
            .filter((each) => each !== '')
            .join(' and '),
        ]
      : []),
    ...(km != null ? [`${count(km)} km`] : []),
    ...(hours != null ? [`${count(hours)} engine hours`] : []),
  ];
  const joined = (parts: string[]): string => parts.join(rule.whichever === 'last' ? ' and ' : ' or ');
  if (rule.kind === 'campaign' && rule.campaign != null) {
    const { byOn, byOdometerKm } = rule.campaign;
    return `once, by ${joined([...(byOn != null ? [byOn] : []), ...(byOdometerKm != null ? [`${count(byOdometerKm)} km`] : [])])}`;
  }
  if (rule.kind === 'follow-up' && rule.followUp != null) {
    const { afterTask, months, days, km, engineHours } = rule.followUp;
    return `${joined(amounts(months, days, km, engineHours))} after ${afterTask}`;
  }
  const limits = amounts(rule.everyMonths, rule.everyDays, rule.everyKm, rule.everyEngineHours).map(
    (amount) => `every ${amount}`,
  );
  if (rule.unitAgeMonths != null)
    limits.push(
      `${count(rule.unitAgeMonths)} months after ${rule.unitAgeSince === 'last-charge' ? 'the last charge' : 'manufacture'}`,
    );
  if (rule.prechargeLimit != null) limits.push('by the precharge forecast');
  return joined(limits);
}
