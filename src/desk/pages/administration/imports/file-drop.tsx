import { useState } from 'react';
import { Field } from '../../../design/field';
import styles from './imports.module.css';

interface FileDropProps {
  file: File | null;
  fault: string | null;
  onFile: (file: File | null) => void;
}

/** A field for a file, on which one can be dropped as well. */
export function FileDrop({ file, fault, onFile }: FileDropProps) {
  const [over, setOver] = useState(false);
  return (
    <div
      className={`${styles.drop} ${over ? styles.over : ''}`}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        onFile(event.dataTransfer.files[0] ?? null);
      }}
    >
      <Field label="File" hint="CSV or NDJSON, UTF-8. Drop it here, or choose it." fault={fault}>
        {(described) => (
          <input
            {...described}
            type="file"
            accept=".csv,.ndjson,.jsonl"
            onChange={({ target }) => onFile(target.files?.[0] ?? null)}
          />
        )}
      </Field>
      <p role="status">{file === null ? '' : `Chosen: ${file.name}`}</p>
    </div>
  );
}
