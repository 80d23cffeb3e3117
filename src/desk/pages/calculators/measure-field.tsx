import { useState } from 'react';
import { TextField } from '../../design/field';
import type { CalculatorInput } from './calculator';
import { fieldText, typedMeasure, unitText, type FigureReader } from './measures';

interface MeasureFieldProps {
  input: CalculatorInput;
  reader: FigureReader;
  value: number | undefined;
  fault: string | undefined;
  onChange: (value: number | undefined) => void;
}

/** A figure of a calculation, in the reader's unit. */
export function MeasureField({ input, reader, value, fault, onChange }: MeasureFieldProps) {
  const { label, hint, measure, optional } = input;
  const [text, setText] = useState(() => fieldText(value, measure, reader));
  const isNumber = text.trim() === '' || typedMeasure(text, measure, reader) !== undefined;
  return (
    <TextField
      label={optional === true ? `${label} (may be left out)` : label}
      hint={hint}
      unit={unitText(measure, reader)}
      inputMode="decimal"
      autoComplete="off"
      value={text}
      fault={isNumber ? fault : 'This is no number. Give digits, with a point or a comma before decimals.'}
      onChange={({ target }) => {
        setText(target.value);
        onChange(typedMeasure(target.value, measure, reader));
      }}
    />
  );
}
