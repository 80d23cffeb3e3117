import { useEffect, type ReactNode } from 'react';
import styles from './page.module.css';

interface PageProps {
  title: string;
  /** one line under the title */
  lead?: ReactNode;
  /** beside the title: what can be done with the whole page */
  tools?: ReactNode;
  children: ReactNode;
}

export function Page({ title, lead, tools, children }: PageProps) {
  useEffect(() => {
    document.title = `${title} · Precharge`;
  }, [title]);
  return (
    <main id="page" tabIndex={-1} className={styles.page}>
      <header className={styles.head}>
        <div>
          <h1>{title}</h1>
          {lead === undefined ? null : <p className="soft">{lead}</p>}
        </div>
        {tools === undefined ? null : <div className="row screen-only">{tools}</div>}
      </header>
      {children}
    </main>
  );
}

/** Something that is on its way; read out, so that nobody waits for nothing. */
export function Waiting({ what }: { what: string }) {
  return (
    <p role="status" className="soft">
      Reading {what} …
    </p>
  );
}
