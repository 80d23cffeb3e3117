import { useEffect, type ReactNode } from 'react';
import styles from './signed-out-page.module.css';

/** A page for somebody whom the desk does not know yet. */
export function SignedOutPage({ title, children }: { title: string; children: ReactNode }) {
  useEffect(() => {
    document.title = `${title} · Precharge`;
  }, [title]);
  return (
    <main className={styles.place}>
      <div className="sheet stack">
        <p className={styles.name}>Precharge</p>
        <h1>{title}</h1>
        {children}
      </div>
    </main>
  );
}
