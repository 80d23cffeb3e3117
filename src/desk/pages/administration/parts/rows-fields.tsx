import type { ReactNode } from 'react';
import { Button } from '../../../design/button';
import { Fault } from './form-fields';
import styles from './form-fields.module.css';

interface RowsFieldsProps<Row> {
  legend: string;
  hint?: ReactNode;
  rows: readonly Row[];
  /** a new row */
  blank: Row;
  add: string;
  onChange: (rows: Row[]) => void;
  /** where the rows stand in the body; what is wrong with one of them is shown below it */
  place: string;
  faultAt: (place: string) => string | null;
  children: (row: Row, set: (patch: Partial<Row>) => void, number: number) => ReactNode;
}

/** Several records of a few fields each, in a form: a list to which lines are added and from which they are taken. */
export function RowsFields<Row extends object>({
  legend,
  hint,
  rows,
  blank,
  add,
  onChange,
  place,
  faultAt,
  children,
}: RowsFieldsProps<Row>) {
  const put = (index: number, patch: Partial<Row>) =>
    onChange(rows.map((row, at) => (at === index ? { ...row, ...patch } : row)));
  const below = rows.some((_row, index) => faultAt(`${place}/${index}`) !== null);
  return (
    <fieldset className={styles.group}>
      <legend>{legend}</legend>
      {hint === undefined ? null : <p className="soft small">{hint}</p>}
      <div className={styles.rows}>
        {rows.map((row, index) => (
          <div key={index}>
            <div className={styles.one}>
              {children(row, (patch) => put(index, patch), index + 1)}
              <Button
                kind="quiet"
                aria-label={`Take out line ${index + 1}: ${legend}`}
                onClick={() => onChange(rows.filter((_row, at) => at !== index))}
              >
                Take out
              </Button>
            </div>
            <Fault text={faultAt(`${place}/${index}`)} />
          </div>
        ))}
        {below ? null : <Fault text={faultAt(place)} />}
        <div className="row">
          <Button onClick={() => onChange([...rows, blank])}>{add}</Button>
        </div>
      </div>
    </fieldset>
  );
}
