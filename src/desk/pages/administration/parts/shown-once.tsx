import { useRef, useState, type ReactNode } from 'react';
import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { TextField } from '../../../design/field';
import { Notice } from '../../../design/notice';
import { copyText } from './copy-text';

interface ShownOnceProps {
  title: string;
  label: string;
  /** null where the answer repeats an earlier one */
  secret: string | null;
  children?: ReactNode;
  onClose: () => void;
}

/** A secret, shown now and never again, with a button that copies it. */
export function ShownOnce({ title, label, secret, children, onClose }: ShownOnceProps) {
  const field = useRef<HTMLInputElement>(null);
  const [copied, setCopied] = useState<boolean | null>(null);
  return (
    <Dialog title={title} onClose={onClose}>
      {secret === null ? (
        <Notice tone="warn" title="It was shown before, and is not shown again.">
          <p>If nobody has noted it, make another one.</p>
        </Notice>
      ) : (
        <>
          <Notice tone="warn" title="Shown now and never again: only a digest is kept here." />
          <TextField
            label={label}
            ref={field}
            readOnly
            className="digits"
            value={secret}
            onFocus={({ target }) => target.select()}
          />
          <div className="row">
            <Button
              kind="main"
              onClick={() => {
                if (field.current !== null) void copyText(field.current).then(setCopied);
              }}
            >
              Copy
            </Button>
            <p role="status">
              {copied === null
                ? ''
                : copied
                  ? 'Copied.'
                  : 'This browser does not copy by itself: it is selected, copy it with Ctrl+C.'}
            </p>
          </div>
        </>
      )}
      {children}
      <div className="row">
        <Button onClick={onClose}>I have noted it</Button>
      </div>
    </Dialog>
  );
}
