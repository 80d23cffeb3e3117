import { useId } from 'react';
import { Button } from '../../../design/button';
import { TextField } from '../../../design/field';
import { faultText } from '../job/field-fault';
import { shownParts, type Part } from '../job/kept-job';
import { wordsOf } from '../job/step-fields';
import { QuantityField } from './quantity-field';
import type { JobPartProps } from './shared-props';

/** What the job used up. */
export function PartsUsed({ store, state, isOpen }: JobPartProps) {
  const titleId = useId();
  const parts = shownParts(state.job);
  const { consumables } = state.job.sheet;
  const change = (index: number, part: Partial<Part>): void =>
    store.editParts(parts.map((each, place) => (place === index ? { ...each, ...part } : each)));
  const faultOf = (index: number, field: string): string | undefined => {
    const fault = state.faults.find(
      (each) => each.stepKey === null && each.field === `partsUsed/${index}/${field}`,
    );
    return fault === undefined ? undefined : faultText(fault);
  };
  return (
    <section className="stack sheet" aria-labelledby={titleId}>
      <h2 id={titleId}>Parts and fluid used</h2>
      {consumables.length === 0 ? null : (
        <p className="soft">
          Planned:{' '}
          {consumables.map(({ item, quantity, unit }) => `${quantity} ${unit} ${wordsOf(item)}`).join(', ')}
        </p>
      )}
      {parts.map((part, index) => (
        <fieldset key={index} className="stack">
          <legend className="unseen">Part {index + 1}</legend>
          <TextField
            label="What"
            value={part.item}
            maxLength={100}
            disabled={!isOpen}
            fault={faultOf(index, 'item')}
            onChange={({ target }) => change(index, { item: target.value })}
          />
          <div className="row">
            <QuantityField
              value={part.quantity}
              disabled={!isOpen}
              fault={faultOf(index, 'quantity')}
              onChange={(quantity) => change(index, { quantity })}
            />
            <TextField
              label="Unit"
              value={part.unit}
              maxLength={20}
              disabled={!isOpen}
              fault={faultOf(index, 'unit')}
              onChange={({ target }) => change(index, { unit: target.value })}
            />
            {isOpen ? (
              <Button onClick={() => store.editParts(parts.filter((_, place) => place !== index))}>
                Take out
              </Button>
            ) : null}
          </div>
        </fieldset>
      ))}
      {parts.length === 0 ? <p className="soft">Nothing entered.</p> : null}
      {isOpen ? (
        <div className="row">
          {parts.length === 0 && consumables.length > 0 ? (
            <Button onClick={() => store.editParts(consumables)}>Used as planned</Button>
          ) : null}
          <Button onClick={() => store.editParts([...parts, { item: 'part', quantity: 1, unit: 'pc' }])}>
            Add a part
          </Button>
        </div>
      ) : null}
    </section>
  );
}
