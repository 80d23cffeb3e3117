import { useId, useLayoutEffect, useRef, type ReactNode } from 'react';
import styles from './dialog.module.css';

interface DialogProps {
  title: ReactNode;
  /** Escape was pressed; the page takes the dialog away */
  onClose: () => void;
  children: ReactNode;
}

/** Asks for something before the page goes on. The browser's own: it keeps the focus, and gives it back. */
export function Dialog({ title, onClose, children }: DialogProps) {
  const place = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  // before it is taken out of the page: a dialog that is gone gives no focus back
  useLayoutEffect(() => {
    const dialog = place.current;
    dialog?.showModal();
    return () => dialog?.close();
  }, []);
  return (
    <dialog
      ref={place}
      className={styles.dialog}
      aria-labelledby={titleId}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      <h2 id={titleId}>{title}</h2>
      {children}
    </dialog>
  );
}
