import { lazy, Suspense, type ReactNode } from 'react';
import { Waiting } from '../../design/page';
import type { ChartColours, ChartOption } from './chart-options';
import styles from './chart.module.css';

const Chart = lazy(() => import('./chart'));

interface ChartWithTableProps {
  title: string;
  /** its place among the headings of the page */
  level?: 2 | 3;
  /** the one thing to take from it, in words */
  summary: string;
  /** stable between drawings */
  optionFor: (colours: ChartColours) => ChartOption;
  table: ReactNode;
}

/** A picture with the same numbers as a table; on paper the table stands alone. */
export function ChartWithTable({ title, level = 3, summary, optionFor, table }: ChartWithTableProps) {
  const Heading = `h${level}` as const;
  return (
    <section className={`sheet ${styles.frame}`}>
      <Heading>{title}</Heading>
      <p>{summary}</p>
      <div className="screen-only">
        <Suspense fallback={<Waiting what="the picture" />}>
          <Chart label={`${title}. ${summary}`} optionFor={optionFor} />
        </Suspense>
        <details>
          <summary>The numbers as a table</summary>
          {table}
        </details>
      </div>
      <div className="print-only">{table}</div>
    </section>
  );
}
