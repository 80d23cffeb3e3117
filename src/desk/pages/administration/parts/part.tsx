import type { ReactNode } from 'react';

interface PartProps {
  title: string;
  /** beside the title: what can be done with the whole part */
  tools?: ReactNode;
  children: ReactNode;
}

/** A part of a section under a title of its own. */
export function Part({ title, tools, children }: PartProps) {
  return (
    <section className="stack">
      <div className="row spread">
        <h2>{title}</h2>
        {tools}
      </div>
      {children}
    </section>
  );
}
