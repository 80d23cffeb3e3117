import { useState } from 'react';
import { useSearch } from 'wouter';
import { Button } from '../../design/button';
import { SelectField } from '../../design/field';
import { useReader } from '../../session/session';
import {
  addressOf,
  answerOf,
  choicesIn,
  figuresIn,
  type Calculator,
  type Choices,
  type Figures,
} from './calculator';
import { MeasureField } from './measure-field';
import { WorkedResult } from './worked-result';
import styles from './calculators.module.css';

/** A calculator: its inputs, which stand in the address too, and what follows from them as one types. */
export function CalculatorForm({ calculator }: { calculator: Calculator }) {
  const address = new URLSearchParams(useSearch());
  const reader = useReader();
  const [figures, setFigures] = useState(() => figuresIn(address, calculator));
  const [choices, setChoices] = useState(() => choicesIn(address, calculator));
  const answer = answerOf(calculator, figures, choices);
  const change = (nextFigures: Figures, nextChoices: Choices): void => {
    setFigures(nextFigures);
    setChoices(nextChoices);
    // without a new entry in the history for every key
    history.replaceState(history.state, '', `${location.pathname}?${addressOf(nextFigures, nextChoices)}`);
  };
  return (
    <div className="columns">
      <form className="sheet stack" onSubmit={(event) => event.preventDefault()}>
        <h2>Given</h2>
        {calculator.choices.map(({ name, label, options }) => (
          <SelectField
            key={name}
            label={label}
            value={choices[name]}
            onChange={({ target }) => change(figures, { ...choices, [name]: target.value })}
          >
            {options.map((option) => (
              <option key={option.value} value={option.value}>
                {option.label}
              </option>
            ))}
          </SelectField>
        ))}
        <div className={styles.fields}>
          {calculator.inputs.map((input) => (
            <MeasureField
              key={input.name}
              input={input}
              reader={reader}
              value={figures[input.name]}
              fault={
                answer.kind === 'refused' && answer.input === input.name
                  ? `${answer.detail}: ${answer.remedy}.`
                  : undefined
              }
              onChange={(value) => change({ ...figures, [input.name]: value }, choices)}
            />
          ))}
        </div>
      </form>
      <section className="sheet stack" aria-labelledby="result">
        <div className="row spread">
          <h2 id="result">Result</h2>
          <Button onClick={() => window.print()}>Print</Button>
        </div>
        <WorkedResult answer={answer} reader={reader} />
      </section>
    </div>
  );
}
