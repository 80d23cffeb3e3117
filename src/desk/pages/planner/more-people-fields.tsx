import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { CheckField, SelectField, TextField } from '../../design/field';
import type { AssumptionFieldsProps } from './assumption-fields-props';
import { wholeNumber } from './whole-number';
import { techniciansOf, workshops } from './planner-data';

/** People more at a workshop, with what they can do. */
export function MorePeopleFields({ onChange }: AssumptionFieldsProps) {
  const all = useQuery(workshops);
  const [chosen, setChosen] = useState('');
  const workshopId = chosen === '' ? (all.data?.[0]?.id ?? '') : chosen;
  const people = useQuery(techniciansOf(workshopId));
  const [count, setCount] = useState('1');
  const [competences, setCompetences] = useState<string[]>([]);
  const known = [
    ...new Set((people.data ?? []).flatMap((person) => person.competences.map(({ code }) => code))),
  ].sort();
  const number = wholeNumber(count, 1, 50);
  useEffect(() => {
    onChange(
      workshopId === '' || number === null
        ? null
        : { kind: 'more-technicians', workshopId, count: number, competences },
    );
  }, [workshopId, number, competences, onChange]);
  return (
    <>
      <div className="columns">
        <SelectField label="Workshop" value={workshopId} onChange={(event) => setChosen(event.target.value)}>
          {(all.data ?? []).map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
        <TextField
          label="How many people"
          inputMode="numeric"
          value={count}
          onChange={(event) => setCount(event.target.value)}
          fault={number === null ? 'Give a whole number from 1 to 50.' : undefined}
        />
      </div>
      <fieldset className="row">
        <legend>Competent in</legend>
        {known.map((code) => (
          <CheckField
            key={code}
            label={code}
            checked={competences.includes(code)}
            onChange={(event) =>
              setCompetences(
                event.target.checked ? [...competences, code] : competences.filter((each) => each !== code),
              )
            }
          />
        ))}
      </fieldset>
    </>
  );
}
