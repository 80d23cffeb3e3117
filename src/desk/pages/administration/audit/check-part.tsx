import { useMutation, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { Field } from '../../../design/field';
import { Notice, ProblemNotice } from '../../../design/notice';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { TypedFault } from '../parts/faults';
import { Part } from '../parts/part';
import { saveFile } from '../parts/save-file';
import { useMomentText } from '../parts/use-moment-text';
import { checkTrail, type CheckedTrail } from './check-trail';
import { notedHeads, type NotedHead } from './heads';

const KINDS: Record<NonNullable<Schemas['AuditCheckDto']['fault']>['kind'], string> = {
  altered: 'An entry is not what was sealed',
  removed: 'An entry is gone',
  inserted: 'An entry was put in',
  reordered: 'Entries stand in another order than they were written in',
  'seal-altered': 'A seal is not what it was',
  'seal-removed': 'A seal is missing',
  rewritten: 'The chain does not lead to a head that was noted',
  truncated: 'The chain ends before a head that was noted',
};

/** Whether the trail is what was written, and the head of it to be kept elsewhere. */
export function CheckPart() {
  const [text, setText] = useState('');
  const [checked, setChecked] = useState(0);
  const { locale } = useReader();
  const head = useQuery({
    queryKey: ['administration', 'audit-head'],
    queryFn: () => answered(api.GET('/v1/audit-head')),
  });
  const check = useMutation({
    mutationFn: () => checkTrail(headsIn(text), setChecked),
    onMutate: () => setChecked(0),
  });
  const fault = check.error instanceof TypedFault ? check.error.message : null;
  return (
    <Part title="Check">
      <div className="sheet stack">
        <p>
          Every entry is sealed into a chain of hashes: what is altered, taken out or put in shows. Only a
          head that was noted elsewhere shows that the end was cut off, or all of it made anew. Save the head
          now and then where nobody who can write the database can reach it.
        </p>
        <Field
          label="Heads noted earlier"
          hint="One on each line, as they were saved. May be empty."
          fault={fault}
        >
          {(described) => (
            <textarea
              {...described}
              rows={3}
              className="digits"
              value={text}
              onChange={({ target }) => setText(target.value)}
            />
          )}
        </Field>
        <div className="row">
          <Button kind="main" busy={check.isPending} onClick={() => check.mutate()}>
            Check the trail
          </Button>
          <Button
            busy={head.data === undefined}
            onClick={() => {
              if (head.data !== undefined) saveHead(head.data);
            }}
          >
            Save the present head
          </Button>
        </div>
        {check.isPending ? (
          <p role="status">{numberText(checked, locale, 0)} entries are in order so far …</p>
        ) : null}
        {fault === null ? <ProblemNotice error={check.error ?? head.error} /> : null}
        {check.data === undefined ? null : <Outcome checked={check.data} />}
      </div>
    </Part>
  );
}

function Outcome({ checked: { entries, last } }: { checked: CheckedTrail }) {
  const { locale } = useReader();
  const momentText = useMomentText();
  const { fault, checkedUpTo, unsealed } = last;
  if (fault !== null)
    return (
      <Notice tone="bad" title={`${KINDS[fault.kind]}.`} live>
        <p>{fault.detail}</p>
        <p>
          {fault.position === null ? '' : `Place ${fault.position}. `}
          {fault.entryId === null ? '' : `Entry ${fault.entryId}. `}
          Up to place {checkedUpTo.position} all is in order. Keep a copy of the database before anybody
          touches it.
        </p>
      </Notice>
    );
  return (
    <Notice tone="good" title={`In order: ${numberText(entries, locale, 0)} entries.`} live>
      <p>
        Up to place {checkedUpTo.position}, <span className="digits">{checkedUpTo.hash}</span>
      </p>
      {unsealed.entries === 0 ? null : (
        <p>
          {unsealed.entries} younger entries, since {momentText(unsealed.oldestRecordedAt)}, are not sealed
          yet: nothing vouches for them.
        </p>
      )}
    </Notice>
  );
}

function headsIn(text: string): NotedHead[] {
  const read = notedHeads(text);
  if ('badLine' in read)
    throw new TypedFault('heads', `Line ${read.badLine} is no head. Paste the lines as they were saved.`);
  return read.heads;
}

function saveHead({ organisationId, position, hash, sealedAt }: Schemas['AuditHeadDto']): void {
  const line = JSON.stringify({ organisationId, position, hash, sealedAt });
  saveFile(`audit-head-${position}.ndjson`, `${line}\n`, 'application/x-ndjson');
}
