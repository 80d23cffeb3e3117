import { useReader } from '../../session/session';
import { FIGURE_LINES, figureText, type PlanFigures } from './plan-words';
import styles from './figures-table.module.css';

interface FiguresTableProps {
  caption: string;
  currency: string;
  columns: readonly { key: string; head: React.ReactNode; figures: PlanFigures }[];
}

/** Figures of plans, or of ways to do without one, side by side. */
export function FiguresTable({ caption, currency, columns }: FiguresTableProps) {
  const { locale } = useReader();
  return (
    <div className="scroll" role="region" aria-label={caption} tabIndex={0}>
      <table className={styles.figures}>
        <caption className="unseen">{caption}</caption>
        <thead>
          <tr>
            <td />
            {columns.map(({ key, head }) => (
              <th key={key} scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {FIGURE_LINES.map((line) => (
            <tr key={line.key} className={line.key === 'costMinor' ? styles.total : undefined}>
              <th scope="row">{line.words}</th>
              {columns.map(({ key, figures }) => (
                <td key={key}>{figureText(line, figures, currency, locale)}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
