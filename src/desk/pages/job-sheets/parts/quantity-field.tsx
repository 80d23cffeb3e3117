import { useState } from 'react';
import { TextField } from '../../../design/field';
import { typedNumber } from '../../../format/units';
import { useReader } from '../../../session/session';

interface QuantityFieldProps {
  value: number;
  disabled: boolean;
  fault: string | undefined;
  onChange: (value: number) => void;
}

/** How much of a part was used. What is no number yet changes nothing. */
export function QuantityField({ value, disabled, fault, onChange }: QuantityFieldProps) {
  const { locale } = useReader();
  const [typed, setTyped] = useState(() => shown(value, locale));
  const read = typedNumber(typed, locale);
  return (
    <TextField
      label="Quantity"
      inputMode="decimal"
      value={read === value || read === null ? typed : shown(value, locale)}
      disabled={disabled}
      fault={read === null ? `This is no number; ${shown(value, locale)} stays.` : fault}
      onChange={({ target }) => {
        setTyped(target.value);
        const quantity = typedNumber(target.value, locale);
        if (quantity !== null) onChange(quantity);
      }}
    />
  );
}

function shown(value: number, locale: string): string {
  return new Intl.NumberFormat(locale, { useGrouping: false, maximumFractionDigits: 3 }).format(value);
}
