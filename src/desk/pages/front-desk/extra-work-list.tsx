import { useRef, useState, type SyntheticEvent } from 'react';
import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { minutesText } from '../../format/days';
import { useReader } from '../../session/session';
import { extraWorkOf, type EntryFaults, type ExtraWork, type ExtraWorkEntry } from './extra-work-entry';
import { KeyButton } from './key-button';
import styles from './work.module.css';

const EMPTY: ExtraWorkEntry = { title: '', minutes: '', competence: '' };

interface ExtraWorkListProps {
  extraWork: readonly ExtraWork[];
  /** what people may have to be able to do */
  competences: readonly string[];
  onChange: (extraWork: ExtraWork[]) => void;
}

/** What the caller asks for beside what is due. */
export function ExtraWorkList({ extraWork, competences, onChange }: ExtraWorkListProps) {
  const { locale } = useReader();
  const [entry, setEntry] = useState<ExtraWorkEntry | null>(null);
  const [faults, setFaults] = useState<EntryFaults>({});
  const [wasOpen, setWasOpen] = useState(false);
  const form = useRef<HTMLFormElement>(null);
  const type = (part: Partial<ExtraWorkEntry>): void => setEntry({ ...(entry ?? EMPTY), ...part });
  const close = (): void => {
    setEntry(null);
    setFaults({});
    setWasOpen(true);
  };
  const add = (event: SyntheticEvent): void => {
    event.preventDefault();
    const read = extraWorkOf(entry ?? EMPTY, locale);
    if ('work' in read) {
      onChange([...extraWork, read.work]);
      close();
      return;
    }
    setFaults(read.faults);
    form.current
      ?.querySelector<HTMLElement>(read.faults.title === undefined ? '[name=minutes]' : '[name=title]')
      ?.focus();
  };
  return (
    <div className="stack">
      {extraWork.length === 0 ? null : (
        <ul className={styles.extra}>
          {extraWork.map(({ title, minutes, competences: needed }, index) => (
            <li key={index} className="row spread">
              <span>
                {title}, {minutesText(minutes)}
                {needed.length === 0 ? '' : `, ${needed.join(', ')}`}
              </span>
              <Button kind="quiet" onClick={() => onChange(extraWork.filter((_, place) => place !== index))}>
                Leave out<span className="unseen">: {title}</span>
              </Button>
            </li>
          ))}
        </ul>
      )}
      {entry === null ? (
        <div>
          <KeyButton shortcut="X" autoFocus={wasOpen} onClick={() => setEntry(EMPTY)}>
            Add extra work
          </KeyButton>
        </div>
      ) : (
        <form ref={form} noValidate className={styles.entry} onSubmit={add}>
          <TextField
            label="Extra work"
            name="title"
            autoFocus
            autoComplete="off"
            value={entry.title}
            fault={faults.title}
            onChange={({ target }) => type({ title: target.value })}
          />
          <TextField
            label="Minutes"
            name="minutes"
            inputMode="numeric"
            autoComplete="off"
            unit="min"
            value={entry.minutes}
            fault={faults.minutes}
            onChange={({ target }) => type({ minutes: target.value })}
          />
          <SelectField
            label="Who can do it"
            value={entry.competence}
            onChange={({ target }) => type({ competence: target.value })}
          >
            <option value="">Anybody</option>
            {competences.map((competence) => (
              <option key={competence}>{competence}</option>
            ))}
          </SelectField>
          <div className="row">
            <Button type="submit">Add</Button>
            <Button kind="quiet" onClick={close}>
              Leave it
            </Button>
          </div>
        </form>
      )}
    </div>
  );
}
