import { useState } from 'react';
import { useSearch } from 'wouter';
import { deriveFromLayout } from '../../../core/hydraulics/derive-from-layout';
import { Button } from '../../design/button';
import { SelectField } from '../../design/field';
import { addressOf, choicesIn } from './calculator';
import { LAYOUT_CHOICES, layoutOf } from './layout-choices';
import { LayoutResult } from './layout-result';
import styles from './calculators.module.css';

/** What follows from the facts of a hydraulic layout; what nobody has looked at stays unknown. */
export function LayoutForm() {
  const address = new URLSearchParams(useSearch());
  const [choices, setChoices] = useState(() => choicesIn(address, { choices: LAYOUT_CHOICES }));
  const change = (name: string, value: string): void => {
    const next = { ...choices, [name]: value };
    setChoices(next);
    history.replaceState(history.state, '', `${location.pathname}?${addressOf({}, next)}`);
  };
  return (
    <div className="columns">
      <form className="sheet stack" onSubmit={(event) => event.preventDefault()}>
        <h2>What was seen</h2>
        <div className={styles.fields}>
          {LAYOUT_CHOICES.map(({ name, label, options }) => (
            <SelectField
              key={name}
              label={label}
              value={choices[name]}
              onChange={({ target }) => change(name, target.value)}
            >
              {options.map((option) => (
                <option key={option.value} value={option.value}>
                  {option.label}
                </option>
              ))}
            </SelectField>
          ))}
        </div>
      </form>
      <section className="sheet stack" aria-labelledby="result">
        <div className="row spread">
          <h2 id="result">What follows</h2>
          <Button onClick={() => window.print()}>Print</Button>
        </div>
        <LayoutResult conclusions={deriveFromLayout(layoutOf(choices))} />
      </section>
    </div>
  );
}
