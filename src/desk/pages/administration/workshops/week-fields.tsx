import { TextField } from '../../../design/field';
import { Fault } from '../parts/form-fields';
import styles from '../parts/form-fields.module.css';
import { WEEKDAYS, type TypedWeek } from './hours';

interface WeekFieldsProps {
  legend: string;
  hint: string;
  /** what an empty day means */
  empty: string;
  week: TypedWeek;
  fault: string | null;
  onChange: (week: TypedWeek) => void;
}

/** The hours of a week, one line for each day. */
export function WeekFields({ legend, hint, empty, week, fault, onChange }: WeekFieldsProps) {
  return (
    <fieldset className={styles.group}>
      <legend>{legend}</legend>
      <p className="soft small">{hint}</p>
      <div className={styles.week}>
        {WEEKDAYS.map((name, index) => (
          <TextField
            key={name}
            label={name}
            placeholder={empty}
            autoComplete="off"
            value={week[index] ?? ''}
            onChange={({ target }) => onChange(week.map((text, at) => (at === index ? target.value : text)))}
          />
        ))}
      </div>
      <Fault text={fault} />
    </fieldset>
  );
}
