import { useId, useState } from 'react';
import { Button } from '../../../design/button';
import { SelectField, TextField } from '../../../design/field';
import { Notice } from '../../../design/notice';
import { StateMark } from '../../../design/state-mark';
import { useReader } from '../../../session/session';
import { faultText } from '../job/field-fault';
import { expectedReasons } from '../job/judge-step';
import { askedOf, signersOf } from '../job/signers';
import { wordsOf } from '../job/step-fields';
import type { JobPartProps } from './shared-props';

/** The end of the job: what is to be expected, who answers for it, and whether somebody wants it held all the same. */
export function SignOff({ store, state, by, isOpen }: JobPartProps) {
  const titleId = useId();
  const { person } = useReader().session;
  const { sheet, place, conflicts } = state.job;
  const [chosen, setChosen] = useState<string | null>(null);
  const [holdBecause, setHoldBecause] = useState('');
  const signers = place === null ? [] : signersOf(place, sheet.signOffCompetences, by.today);
  const usual = person.technicianId ?? place?.technicianIds[0] ?? '';
  const signedOffBy = chosen ?? (signers.some(({ technician }) => technician.id === usual) ? usual : '');
  const signer = signers.find(({ technician }) => technician.id === signedOffBy);
  const able = signers.filter(({ lacks }) => lacks.length === 0).map(({ technician }) => technician.name);
  const reasons = expectedReasons(state.job, by);
  const faultOf = (field: string): string | undefined => {
    const fault = state.faults.find((each) => each.stepKey === null && each.field === field);
    return fault === undefined ? undefined : faultText(fault);
  };
  const asked = askedOf(place?.signOffCompetence ?? null, sheet.signOffCompetences).map(wordsOf);
  const lacks = signer === undefined ? [] : signer.lacks.map(wordsOf);
  return (
    <section className="stack sheet" aria-labelledby={titleId}>
      <h2 id={titleId}>Sign off</h2>
      {reasons.length === 0 ? (
        <p>
          <StateMark tone="info">By these entries nothing of this job holds the vehicle.</StateMark>
        </p>
      ) : (
        <Notice tone="bad" title="By these entries the vehicle would be held">
          <ul>
            {reasons.map((reason) => (
              <li key={reason}>{reason}</li>
            ))}
          </ul>
        </Notice>
      )}
      <div className="columns">
        <SelectField
          label="Signed off by"
          hint={`Asked for: ${asked.length === 0 ? 'no particular competence' : asked.join(', ')}.`}
          value={signedOffBy}
          disabled={!isOpen}
          fault={
            faultOf('signedOffBy') ??
            (lacks.length === 0
              ? undefined
              : `Does not have ${lacks.join(', ')}. ${able.length === 0 ? 'Nobody of this workshop does.' : `Let ${able.join(' or ')} sign off.`}`)
          }
          onChange={({ target }) => setChosen(target.value)}
        >
          <option value="">choose</option>
          {signers.map(({ technician, lacks: missing }) => (
            <option key={technician.id} value={technician.id}>
              {technician.name}
              {missing.length === 0 ? '' : ` (lacks ${missing.map(wordsOf).join(', ')})`}
            </option>
          ))}
        </SelectField>
        <TextField
          label="Hold it all the same, because (may be left out)"
          value={holdBecause}
          maxLength={500}
          disabled={!isOpen}
          fault={faultOf('holdBecause')}
          onChange={({ target }) => setHoldBecause(target.value)}
        />
      </div>
      {conflicts.length === 0 ? null : (
        <Notice
          tone="warn"
          title="Decide first between your entries and somebody else's, at the steps above"
        />
      )}
      <p className="soft small">
        The software advises. The vehicle maker&apos;s manual, local law and a licensed person decide.
      </p>
      <div>
        <Button
          kind="main"
          busy={state.job.attempt !== null && state.link === 'sending'}
          disabled={!isOpen || signedOffBy === '' || conflicts.length > 0}
          onClick={() => store.signOff(signedOffBy, holdBecause.trim() === '' ? null : holdBecause.trim())}
        >
          Complete the job
        </Button>
      </div>
      {state.job.attempt !== null && state.link === 'not-sent' ? (
        <Notice tone="warn" title="Signed off and kept on this device, not sent yet" live>
          <p>It is sent once, as soon as the connection is back. The vehicle is not released before that.</p>
        </Notice>
      ) : null}
    </section>
  );
}
