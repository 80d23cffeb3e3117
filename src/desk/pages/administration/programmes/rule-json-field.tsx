import { useState } from 'react';
import { ProblemError } from '../../../api/problem';
import { CheckField, Field } from '../../../design/field';
import { useReader } from '../../../session/session';
import { faultText, TypedFault } from '../parts/faults';
import { Fault, type FormFields } from '../parts/form-fields';
import { lineOf, pointerLines } from './pointer-lines';
import styles from './programmes.module.css';
import { parsedRule, ruleOf, ruleValuesOf, shownJson, type RuleValues } from './rule-values';

interface RuleJsonFieldProps {
  fields: FormFields<RuleValues>;
  error: unknown;
  /** where the rule stands in what was sent, such as `rules/3/` */
  root: string;
}

/** The whole rule as JSON, for what has no field; what is wrong is shown with its line. */
export function RuleJsonField({ fields, error, root }: RuleJsonFieldProps) {
  const { locale } = useReader();
  const { asJson, json } = fields.values;
  const [unread, setUnread] = useState<string | null>(null);
  const turn = (wanted: boolean): void => {
    setUnread(null);
    if (wanted) {
      fields.set({ asJson: true, json: shownJson(ruleOf(fields.values, locale)) });
      return;
    }
    try {
      fields.set(ruleValuesOf(parsedRule(json)));
    } catch (fault) {
      if (!(fault instanceof TypedFault)) throw fault;
      setUnread(fault.message);
    }
  };
  return (
    <>
      <CheckField
        label="Write the rule as JSON"
        hint="For what has no field, such as test limits, consumables, or conditions on the layout."
        checked={asJson}
        onChange={({ target }) => turn(target.checked)}
      />
      {asJson ? (
        <Field label="Rule" fault={unread ?? fields.faultAt('json')}>
          {(described) => (
            <textarea
              {...described}
              className={styles.json}
              rows={22}
              spellCheck={false}
              value={json}
              onChange={({ target }) => fields.set({ json: target.value })}
            />
          )}
        </Field>
      ) : null}
      {asJson ? linedFaults(error, json, root).map((text) => <Fault key={text} text={text} />) : null}
    </>
  );
}

/** What the API found wrong with the rule, each with the line that it is about. */
function linedFaults(error: unknown, json: string, root: string): string[] {
  if (!(error instanceof ProblemError)) return [];
  const prefix = `#/${root}`;
  const faults = (error.problem.errors ?? []).flatMap((fault) =>
    fault.pointer?.startsWith(prefix) === true
      ? [{ ...fault, place: fault.pointer.slice(prefix.length) }]
      : [],
  );
  if (faults.length === 0) return [];
  const lines = linesIn(json);
  return faults.map((fault) => {
    const where = lines === null ? fault.place : `Line ${lineOf(lines, fault.place)}, ${fault.place}`;
    return `${where}: ${faultText(fault)}`;
  });
}

// the text may have been changed since the answer, and not be JSON at the moment
function linesIn(json: string): Map<string, number> | null {
  try {
    JSON.parse(json);
  } catch {
    return null;
  }
  return pointerLines(json);
}
