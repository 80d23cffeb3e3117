import { TextField } from '../../../design/field';
import { RowsFields } from '../parts/rows-fields';
import type { TypedAbsence } from './absences';

interface AbsenceFieldsProps {
  legend: string;
  add: string;
  rows: readonly TypedAbsence[];
  place: string;
  faultAt: (place: string) => string | null;
  onChange: (rows: TypedAbsence[]) => void;
}

export function AbsenceFields({ legend, add, rows, place, faultAt, onChange }: AbsenceFieldsProps) {
  return (
    <RowsFields
      legend={legend}
      hint="On the workshop’s clock."
      rows={rows}
      blank={{ from: '', until: '', reason: '' }}
      add={add}
      onChange={onChange}
      place={place}
      faultAt={faultAt}
    >
      {(row, set) => (
        <>
          <TextField
            label="From"
            type="datetime-local"
            value={row.from}
            onChange={({ target }) => set({ from: target.value })}
          />
          <TextField
            label="Until"
            type="datetime-local"
            value={row.until}
            onChange={({ target }) => set({ until: target.value })}
          />
          <TextField
            label="Reason"
            value={row.reason}
            onChange={({ target }) => set({ reason: target.value })}
          />
        </>
      )}
    </RowsFields>
  );
}
