import { assert } from '../shared/assert';
import { InputError } from '../shared/input-error';
import { Normalised, normaliseRule, readSeverity } from './normalise-rule';
import { OptionReader } from './option-reader';
import { ServiceProgramme, ServiceRule } from './rule';

const MAX_RULES = 500;

/**
 * A whole programme, checked: every rule by itself, codes that occur twice, tasks that `satisfies` or `doBefore`
 * name and no rule asks for, and circles in `doBefore`. A follow-up may come after work that no rule asks for,
 * such as a repair.
 *
 * @param options anything; meant to be `ProgrammeOptions`
 * @param pointer JSON pointer of the programme in what the caller was given
 * @returns the programme with its rules ordered by code, or all errors at once
 */
export function normaliseProgramme(options: unknown, pointer = ''): Normalised<ServiceProgramme> {
  const errors: InputError[] = [];
  const reader = new OptionReader(options, pointer, errors);
  if (errors.length > 0) return { value: null, errors };
  const severityByDutyClass = readSeverity(reader.inside('severityByDutyClass')) ?? {};
  const listed = reader.raw('rules');
  reader.refuseOthers();
  if (!Array.isArray(listed) || listed.length === 0 || listed.length > MAX_RULES) {
    reader.refuse('rules', 'rules is not a list of rules', `give a list of 1 to ${MAX_RULES} rules`);
    return { value: null, errors };
  }
  const rules: ServiceRule[] = [];
  const indexOf = new Map<ServiceRule, number>();
  listed.forEach((each: unknown, index) => {
    const result = normaliseRule(each, `${pointer}/rules/${index}`);
    errors.push(...result.errors);
    if (result.value) {
      indexOf.set(result.value, index);
      rules.push(result.value);
    }
  });
  const pathOf = (rule: ServiceRule, field: string): string =>
    `${pointer}/rules/${indexOf.get(rule) ?? -1}/${field}`;
  errors.push(...repeatedCodes(rules, pathOf));
  // a task of a rule that was refused is not known, and no reason for another error
  if (rules.length === listed.length) {
    errors.push(...unknownTasks(rules, pathOf), ...circles(rules, pathOf));
  }
  if (errors.length > 0) return { value: null, errors };
  rules.sort((a, b) => (a.code < b.code ? -1 : 1));
  return { value: { rules, severityByDutyClass }, errors: [] };
}

type PathOf = (rule: ServiceRule, field: string) => string;

function repeatedCodes(rules: readonly ServiceRule[], pathOf: PathOf): InputError[] {
  const seen = new Set<string>();
  return rules.flatMap((rule) => {
    const repeated = seen.has(rule.code);
    seen.add(rule.code);
    return repeated
      ? [
          new InputError(
            pathOf(rule, 'code'),
            `the code "${rule.code}" occurs twice`,
            'give every rule a code of its own',
          ),
        ]
      : [];
  });
}

function unknownTasks(rules: readonly ServiceRule[], pathOf: PathOf): InputError[] {
  const tasks = new Set(rules.map((rule) => rule.task));
  const unknown = (rule: ServiceRule, field: string, named: readonly string[]): InputError[] =>
    named
      .filter((task) => !tasks.has(task))
      .map(
        (task) =>
          new InputError(
            pathOf(rule, field),
            `no rule asks for the task "${task}"`,
            'name a task of this programme',
          ),
      );
  return rules.flatMap((rule) => [
    ...unknown(rule, 'satisfies', rule.satisfies),
    ...unknown(rule, 'doBefore', rule.doBefore),
  ]);
}

function circles(rules: readonly ServiceRule[], pathOf: PathOf): InputError[] {
  const before = new Map<string, Set<string>>();
  for (const rule of rules) {
    const tasks = before.get(rule.task) ?? new Set<string>();
    for (const task of rule.doBefore) tasks.add(task);
    before.set(rule.task, tasks);
  }
  const reaches = (from: string, to: string, seen: Set<string>): boolean => {
    for (const task of before.get(from) ?? []) {
      if (task === to) return true;
      if (seen.has(task)) continue;
      seen.add(task);
      if (reaches(task, to, seen)) return true;
    }
    return false;
  };
  return rules
    .filter((rule) => rule.doBefore.some((task) => task === rule.task || reaches(task, rule.task, new Set())))
    .map(
      (rule) =>
        new InputError(
          pathOf(rule, 'doBefore'),
          `"${rule.task}" would have to be done before itself`,
          'break the circle of doBefore',
        ),
    );
}

/**
 * A programme that was checked before it was stored.
 *
 * @throws Error when it is not valid after all: that is a fault of the program, not of a caller
 */
export function storedProgramme(options: unknown): ServiceProgramme {
  const { value, errors } = normaliseProgramme(options);
  const first = errors[0];
  assert(
    value !== null,
    `a stored programme is not valid: ${first ? `${first.field}: ${first.message}` : ''}`,
  );
  return value;
}
