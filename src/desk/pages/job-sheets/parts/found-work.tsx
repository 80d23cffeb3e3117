import { useId } from 'react';
import { Button } from '../../../design/button';
import { CheckField, TextField } from '../../../design/field';
import { faultText } from '../job/field-fault';
import { shownFound, type Found } from '../job/kept-job';
import type { JobPartProps } from './shared-props';

/** Work that was found and not booked. */
export function FoundWork({ store, state, isOpen }: JobPartProps) {
  const titleId = useId();
  const found = shownFound(state.job);
  const change = (index: number, work: Partial<Found>): void =>
    store.editFound(found.map((each, place) => (place === index ? { ...each, ...work } : each)));
  const faultOf = (index: number, field: string): string | undefined => {
    const fault = state.faults.find(
      (each) => each.stepKey === null && each.field === `workFound/${index}/${field}`,
    );
    return fault === undefined ? undefined : faultText(fault);
  };
  return (
    <section className="stack sheet" aria-labelledby={titleId}>
      <h2 id={titleId}>Work found</h2>
      {found.map((work, index) => (
        <fieldset key={index} className="stack">
          <legend className="unseen">Work {index + 1}</legend>
          <TextField
            label="What was found"
            value={work.title}
            maxLength={200}
            disabled={!isOpen}
            fault={faultOf(index, 'title')}
            onChange={({ target }) => change(index, { title: target.value })}
          />
          <TextField
            label="Note (may be left out)"
            value={work.note ?? ''}
            maxLength={2_000}
            disabled={!isOpen}
            onChange={({ target }) => change(index, { note: target.value === '' ? null : target.value })}
          />
          <div className="row spread">
            <CheckField
              label="Urgent"
              checked={work.urgent}
              disabled={!isOpen}
              onChange={({ target }) => change(index, { urgent: target.checked })}
            />
            {isOpen ? (
              <Button onClick={() => store.editFound(found.filter((_, place) => place !== index))}>
                Take out
              </Button>
            ) : null}
          </div>
        </fieldset>
      ))}
      {found.length === 0 ? <p className="soft">Nothing entered.</p> : null}
      {isOpen ? (
        <div>
          <Button
            onClick={() =>
              store.editFound([...found, { title: 'To be described', note: null, urgent: false }])
            }
          >
            Add work
          </Button>
        </div>
      ) : null}
    </section>
  );
}
