import { useState } from 'react';
import { TextField } from '../../../design/field';
import { useReader } from '../../../session/session';
import { figureText, typedFigure, unitOf } from '../job/quantities';
import type { Quantity } from '../job/step-fields';

interface FigureFieldProps {
  label: string;
  hint?: string | undefined;
  quantity: Quantity;
  /** of the vehicle */
  odometerUnit: string;
  /** as stored */
  value: number | null;
  fault: string | undefined;
  disabled: boolean;
  onChange: (value: number | null) => void;
}

/** A number as its reader types it; what was typed stays as it is, also while it is no number yet. */
export function FigureField({
  label,
  hint,
  quantity,
  odometerUnit,
  value,
  fault,
  disabled,
  onChange,
}: FigureFieldProps) {
  const reader = useReader();
  const [typed, setTyped] = useState(() => figureText(value, quantity, reader));
  const read = typedFigure(typed, quantity, reader);
  const isNumber = read !== null || typed.trim() === '';
  // filled from elsewhere: the stopwatch, or somebody else
  const text = read === value ? typed : figureText(value, quantity, reader);
  return (
    <TextField
      label={label}
      hint={hint}
      unit={unitOf(quantity, reader, odometerUnit)}
      inputMode="decimal"
      autoComplete="off"
      value={text}
      disabled={disabled}
      fault={
        read === value && !isNumber
          ? 'This is no number. Give digits, with a point or a comma before decimals.'
          : fault
      }
      onChange={({ target }) => {
        setTyped(target.value);
        onChange(typedFigure(target.value, quantity, reader));
      }}
    />
  );
}
