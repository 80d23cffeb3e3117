import { StateMark } from '../../design/state-mark';
import { dayText, minutesText, weekText } from '../../format/days';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { DUE_STATES, type DueCell, type DueColumn, type DueMatrix } from './due-matrix';
import styles from './due-matrix.module.css';
import { DUE_WORDS } from './due-words';

interface DueMatrixTableProps {
  matrix: DueMatrix;
  open: { depotId: string | null; key: string | null };
  onOpen: (depotId: string, key: string) => void;
}

export function DueMatrixTable({ matrix, open, onOpen }: DueMatrixTableProps) {
  const { locale } = useReader();
  if (matrix.rows.length === 0) return <p className="soft">There is no depot here.</p>;
  const caption = 'Due work by depot and ISO week';
  return (
    <div className="scroll" role="region" aria-label={caption} tabIndex={0}>
      <table className={styles.matrix}>
        <caption className="unseen">{caption}</caption>
        <thead>
          <tr>
            <th scope="col">Depot</th>
            {matrix.columns.map((column) => (
              <th key={column.key} scope="col">
                <ColumnHead column={column} locale={locale} />
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {matrix.rows.map(({ depotId, name, cells, total }) => (
            <tr key={depotId}>
              <th scope="row">
                {name}
                <br />
                <span className="small soft">{numberText(total.items.length, locale, 0)} in all</span>
              </th>
              {cells.map((cell, at) => {
                const column = matrix.columns[at] as DueColumn;
                const isOpen = open.depotId === depotId && open.key === column.key;
                return (
                  <td key={column.key}>
                    {cell.items.length === 0 ? (
                      <span className="soft">–</span>
                    ) : (
                      <button
                        type="button"
                        className={styles.cell}
                        aria-pressed={isOpen}
                        onClick={() => onOpen(depotId, column.key)}
                      >
                        <span className="unseen">
                          {name}, {columnWords(column)}:{' '}
                        </span>
                        <CellFigures cell={cell} locale={locale} />
                      </button>
                    )}
                  </td>
                );
              })}
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">All depots</th>
            {matrix.totals.map((cell, at) => (
              <td key={matrix.columns[at]?.key}>
                {cell.items.length === 0 ? (
                  <span className="soft">–</span>
                ) : (
                  <CellFigures cell={cell} locale={locale} />
                )}
              </td>
            ))}
          </tr>
        </tfoot>
      </table>
    </div>
  );
}

function ColumnHead({ column: { weekOn }, locale }: { column: DueColumn; locale: string }) {
  if (weekOn === null) return <>Before this week</>;
  return (
    <>
      {weekText(weekOn)}
      <br />
      <span className={styles.day}>{dayText(weekOn, locale)}</span>
    </>
  );
}

function CellFigures({ cell, locale }: { cell: DueCell; locale: string }) {
  return (
    <span className={styles.figures}>
      {DUE_STATES.filter((state) => cell.countByState[state] > 0).map((state) => (
        <StateMark key={state} tone={DUE_WORDS[state].tone}>
          <span>
            {numberText(cell.countByState[state], locale, 0)}{' '}
            <span className={styles.word}>{DUE_WORDS[state].words.toLowerCase()}</span>
          </span>
        </StateMark>
      ))}
      <span className="small">
        {minutesText(cell.minutes)}
        {cell.withoutMinutes > 0 ? ' and more' : ''}
      </span>
    </span>
  );
}

const columnWords = ({ weekOn }: DueColumn): string =>
  weekOn === null ? 'before this week' : `week ${weekText(weekOn)}`;
