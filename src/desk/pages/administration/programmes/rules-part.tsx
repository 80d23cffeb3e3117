import { useMemo, useState } from 'react';
import { answered, api, ifMatch } from '../../../api/client';
import { Button } from '../../../design/button';
import { DataTable } from '../../../design/data-table';
import { StateMark } from '../../../design/state-mark';
import { useReader } from '../../../session/session';
import { actions, column } from '../parts/columns';
import { ConfirmDialog } from '../parts/confirm-dialog';
import { useReadAgain } from '../parts/lists';
import { Part } from '../parts/part';
import type { Version } from './programme-reads';
import { RuleDialog } from './rule-dialog';
import { RuleShown } from './rule-shown';
import { ruleText } from './rule-text';
import type { Rule } from './rule-values';

type Shown = { act: 'edit'; code: string | null } | { act: 'read' | 'remove'; rule: Rule } | null;

/** The rules of a version; those of a draft can be changed. */
export function RulesPart({ version }: { version: Version }) {
  const { locale } = useReader();
  const readAgain = useReadAgain();
  const [shown, setShown] = useState<Shown>(null);
  const isDraft = version.state === 'draft';
  const columns = useMemo(
    () => [
      column<Rule>(
        'Rule',
        ({ title, task }) => title ?? task,
        ({ title, task, code }) => (
          <>
            {title ?? task}
            <div className="small soft digits">{code}</div>
          </>
        ),
      ),
      column<Rule>('When', (rule) => ruleText(rule, locale)),
      column<Rule>('For', ({ scope }) => (scope === 'unit' ? 'each gas unit' : 'the vehicle')),
      column<Rule>(
        'Safety',
        ({ safetyCritical }) => (safetyCritical === true ? 'critical' : ''),
        ({ safetyCritical }) =>
          safetyCritical === true ? <StateMark tone="bad">safety-critical</StateMark> : '–',
      ),
      column<Rule>('Figures from', ({ source }) => source ?? '–'),
      actions<Rule>((rule) =>
        isDraft ? (
          <>
            <Button
              kind="quiet"
              aria-label={`Change rule ${rule.code}`}
              onClick={() => setShown({ act: 'edit', code: rule.code })}
            >
              Change
            </Button>
            <Button
              kind="quiet"
              aria-label={`Take out rule ${rule.code}`}
              onClick={() => setShown({ act: 'remove', rule })}
            >
              Take out
            </Button>
          </>
        ) : (
          <Button
            kind="quiet"
            aria-label={`Read rule ${rule.code}`}
            onClick={() => setShown({ act: 'read', rule })}
          >
            Read
          </Button>
        ),
      ),
    ],
    [locale, isDraft],
  );
  const close = () => setShown(null);
  const kept = () => {
    readAgain('programmes', version.programmeId);
    close();
  };
  return (
    <Part
      title="Rules"
      tools={
        isDraft ? <Button onClick={() => setShown({ act: 'edit', code: null })}>Add a rule</Button> : null
      }
    >
      <DataTable
        caption="Rules"
        columns={columns}
        rows={version.rules}
        rowId={({ code }) => code}
        empty="No rule."
      />
      {shown?.act === 'edit' ? (
        <RuleDialog version={version} code={shown.code} onKept={kept} onClose={close} />
      ) : null}
      {shown?.act === 'read' ? <RuleShown rule={shown.rule} onClose={close} /> : null}
      {shown?.act === 'remove' ? (
        <ConfirmDialog
          title={`Take rule ${shown.rule.code} out of the draft?`}
          action="Take it out"
          onConfirm={() =>
            answered(
              api.PUT('/v1/service-programmes/{programmeId}/versions/{versionId}', {
                params: {
                  path: { programmeId: version.programmeId, versionId: version.id },
                  header: ifMatch(version),
                },
                body: {
                  rules: version.rules.filter(({ code }) => code !== shown.rule.code),
                  severityByDutyClass: version.severityByDutyClass,
                },
              }),
            )
          }
          onDone={kept}
          onClose={close}
        >
          <p>
            Once the draft is published, no vehicle owes “{shown.rule.title ?? shown.rule.task}” by this rule
            any more. What was done stays on record.
          </p>
        </ConfirmDialog>
      ) : null}
    </Part>
  );
}
