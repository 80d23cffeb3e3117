import { answered, api, ifMatch } from '../../../api/client';
import { Dialog } from '../../../design/dialog';
import { useReader } from '../../../session/session';
import { RecordForm } from '../parts/record-form';
import { readVersion, type Version } from './programme-reads';
import { RuleFields } from './rule-fields';
import { RuleJsonField } from './rule-json-field';
import { NEW_RULE, ruleOf, ruleValuesOf, type Rule } from './rule-values';

interface RuleDialogProps {
  version: Version;
  /** the rule that is changed; null for a new one */
  code: string | null;
  onKept: () => void;
  onClose: () => void;
}

/** Changes one rule of a draft, in fields or as JSON; the draft is kept with it at once. */
export function RuleDialog({ version, code, onKept, onClose }: RuleDialogProps) {
  const { locale } = useReader();
  const indexIn = ({ rules }: Version): number => {
    const index = rules.findIndex((rule) => rule.code === code);
    return index < 0 ? rules.length : index;
  };
  const keepRule = (rule: Rule, base: Version) => {
    const rules = [...base.rules];
    rules[indexIn(base)] = rule;
    return answered(
      api.PUT('/v1/service-programmes/{programmeId}/versions/{versionId}', {
        params: { path: { programmeId: base.programmeId, versionId: base.id }, header: ifMatch(base) },
        body: { rules, severityByDutyClass: base.severityByDutyClass },
      }),
    );
  };
  const root = `rules/${indexIn(version)}/`;
  return (
    <Dialog title={code === null ? 'A new rule' : `Rule ${code}`} onClose={onClose}>
      <RecordForm
        record={version}
        valuesOf={(from: Version | null) => ruleValuesOf(from?.rules[indexIn(from)] ?? NEW_RULE)}
        bodyOf={(values) => ({ rule: ruleOf(values, locale) })}
        change={({ rule }, base) => keepRule(rule ?? base.rules[indexIn(base)] ?? NEW_RULE, base)}
        readAgain={(base) => readVersion(base.programmeId, base.id)}
        onKept={onKept}
        onCancel={onClose}
        keep="Keep in the draft"
        root={root}
        unshown={['rule', 'json', 'asJson']}
      >
        {(fields, error) => (
          <>
            <RuleJsonField fields={fields} error={error} root={root} />
            {fields.values.asJson ? null : <RuleFields fields={fields} />}
          </>
        )}
      </RecordForm>
    </Dialog>
  );
}
