import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { seriesWords, type DemandSeries } from './demand-figures';
import styles from './figures-table.module.css';

const KINDS: Record<DemandSeries['kind'], string> = {
  labour: 'Labour',
  consumable: 'Consumables',
  unit: 'Gas units at hand',
  task: 'How often each task',
};

/** Everything that is asked for, month by month: what is expected, and its band under it. */
export function DemandTable({
  series,
  months,
}: {
  series: readonly DemandSeries[];
  months: readonly string[];
}) {
  const { locale } = useReader();
  const kinds = [...new Set(series.map(({ kind }) => kind))];
  const caption = 'Demand by month, each with its band';
  return (
    <section className="stack">
      <h2>All of it by month</h2>
      <div className="scroll" role="region" aria-label={caption} tabIndex={0}>
        <table className={styles.figures}>
          <caption className="unseen">{caption}</caption>
          <thead>
            <tr>
              <td />
              {months.map((month) => (
                <th key={month} scope="col">
                  {month}
                </th>
              ))}
            </tr>
          </thead>
          {kinds.map((kind) => (
            <tbody key={kind}>
              <tr>
                <th scope="rowgroup" colSpan={months.length + 1}>
                  <strong>{KINDS[kind]}</strong>
                </th>
              </tr>
              {series
                .filter((each) => each.kind === kind)
                .map(({ key, name, unit, digits, months: figures }) => (
                  <tr key={key}>
                    <th scope="row">
                      {seriesWords({ kind, name })}, {unit}
                    </th>
                    {figures.map((figure, at) => (
                      <td key={months[at]}>
                        {figure === null ? (
                          '–'
                        ) : (
                          <>
                            {numberText(figure.expected, locale, digits)}
                            <br />
                            <span className="small soft">
                              {numberText(figure.low, locale, digits)} to{' '}
                              {numberText(figure.high, locale, digits)}
                            </span>
                          </>
                        )}
                      </td>
                    ))}
                  </tr>
                ))}
            </tbody>
          ))}
        </table>
      </div>
    </section>
  );
}
