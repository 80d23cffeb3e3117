import styles from './figures-table.module.css';

interface FigureRowsProps {
  caption: string;
  /** the first is that of the rows' names */
  heads: readonly string[];
  rows: readonly (readonly string[])[];
}

/** Numbers as they are drawn beside it. */
export function FigureRows({ caption, heads, rows }: FigureRowsProps) {
  return (
    <div className="scroll" role="region" aria-label={caption} tabIndex={0}>
      <table className={styles.figures}>
        <caption className="unseen">{caption}</caption>
        <thead>
          <tr>
            {heads.map((head) => (
              <th key={head} scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, ...figures]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              {figures.map((figure, at) => (
                <td key={at}>{figure}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
