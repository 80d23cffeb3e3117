import type { ButtonHTMLAttributes, ReactNode, Ref } from 'react';
import styles from './button.module.css';

interface ButtonProps extends ButtonHTMLAttributes<HTMLButtonElement> {
  kind?: 'main' | 'plain' | 'danger' | 'quiet';
  /** what it does is under way: it cannot be pressed a second time */
  busy?: boolean;
  /** shown after the text; the page listens for it */
  keys?: string;
  ref?: Ref<HTMLButtonElement>;
  children: ReactNode;
}

export function Button({ kind = 'plain', busy = false, keys, children, ...rest }: ButtonProps) {
  return (
    <button
      type="button"
      {...rest}
      className={`${styles.button} ${styles[kind]} ${rest.className ?? ''}`}
      aria-busy={busy}
      aria-keyshortcuts={keys}
      onClick={busy ? undefined : rest.onClick}
      aria-disabled={busy || rest['aria-disabled']}
    >
      {children}
      {keys === undefined ? null : <kbd aria-hidden="true">{keys}</kbd>}
    </button>
  );
}
