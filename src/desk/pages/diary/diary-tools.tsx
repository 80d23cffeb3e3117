import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { turned, type DiaryAddress } from './diary-address';
import type { Workshop } from './diary-data';
import styles from './diary-tools.module.css';

interface DiaryToolsProps {
  workshops: readonly Workshop[];
  workshopId: string;
  address: DiaryAddress;
  today: string;
  go: (change: Partial<DiaryAddress>) => void;
  onWorkshop: (workshopId: string) => void;
}

/** Which workshop, which day, and how it is shown. */
export function DiaryTools({ workshops, workshopId, address, today, go, onWorkshop }: DiaryToolsProps) {
  const { view, by, on } = address;
  const unit = view === 'week' ? 'week' : 'day';
  return (
    <div className={`${styles.tools} screen-only`}>
      {workshops.length < 2 ? null : (
        <SelectField label="Workshop" value={workshopId} onChange={(event) => onWorkshop(event.target.value)}>
          {workshops.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
      )}
      <TextField
        label="Day"
        type="date"
        value={on}
        onChange={({ target }) => {
          if (target.value !== '') go({ on: target.value });
        }}
      />
      <div className="row" role="group" aria-label="Turn the page">
        <Button keys="P" onClick={() => go({ on: turned(address, -1) })}>
          Previous<span className="unseen"> {unit}</span>
        </Button>
        <Button keys="T" onClick={() => go({ on: today })}>
          Today
        </Button>
        <Button keys="N" onClick={() => go({ on: turned(address, 1) })}>
          Next<span className="unseen"> {unit}</span>
        </Button>
      </div>
      <div className="row" role="group" aria-label="What is shown">
        <Button keys="D" aria-pressed={view === 'day'} onClick={() => go({ view: 'day' })}>
          Day
        </Button>
        <Button keys="W" aria-pressed={view === 'week'} onClick={() => go({ view: 'week' })}>
          Week
        </Button>
      </div>
      <div className="row" role="group" aria-label="Columns">
        <Button aria-pressed={by === 'bays'} onClick={() => go({ by: 'bays' })}>
          Bays
        </Button>
        <Button aria-pressed={by === 'people'} onClick={() => go({ by: 'people' })}>
          People
        </Button>
      </div>
    </div>
  );
}
