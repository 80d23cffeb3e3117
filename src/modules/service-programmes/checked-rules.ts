import { normaliseProgramme } from '../../core/due/normalise-programme';
import type { RuleOptions } from '../../core/due/rule';
import { CodedError } from '../../platform/errors/coded-error';
import type { RuleDto } from './dto/rule.dto';

export interface CheckedRules {
  rules: RuleOptions[];
  severityByDutyClass: Record<string, number>;
}

/**
 * Rules as they are to be stored: as they were written, but only if a programme can be made of them.
 *
 * @throws CodedError `validation-failed` with every error at once
 */
export function checkedRules(
  rules: RuleDto[],
  severityByDutyClass: Record<string, number> | null | undefined,
): CheckedRules {
  const options = { rules, severityByDutyClass: severityByDutyClass ?? {} };
  const { errors } = normaliseProgramme(options);
  if (errors.length > 0) {
    throw new CodedError(
      'validation-failed',
      errors.length === 1 ? 'One field is not acceptable.' : `${errors.length} fields are not acceptable.`,
      errors.map(({ field, message, remedy }) => ({ pointer: `#${field}`, detail: message, remedy })),
    );
  }
  return options;
}
