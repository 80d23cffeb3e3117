import { useMemo } from 'react';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { bandOption, type ChartColours } from './chart-options';
import { ChartWithTable } from './chart-with-table';
import { seriesWords, type DemandSeries } from './demand-figures';
import { FigureRows } from './figure-rows';

/** One thing month by month, with its band. */
export function DemandPicture({ series, months }: { series: DemandSeries; months: readonly string[] }) {
  const { locale } = useReader();
  const { unit, digits } = series;
  const name = seriesWords(series);
  const text = (value: number): string => numberText(value, locale, digits);
  const figures = useMemo(
    () => series.months.map((figure) => figure ?? { expected: 0, low: 0, high: 0 }),
    [series],
  );
  const optionFor = useMemo(
    () => (colours: ChartColours) =>
      bandOption(
        { colours, labels: months, unit, numberText: (value) => numberText(value, locale, digits) },
        figures,
      ),
    [months, unit, locale, digits, figures],
  );
  const total = figures.reduce((sum, { expected }) => sum + expected, 0);
  return (
    <ChartWithTable
      level={2}
      title={`${name} by month`}
      summary={`${text(total)} ${unit} expected in ${numberText(months.length, locale, 0)} months.`}
      optionFor={optionFor}
      table={
        <FigureRows
          caption={`${name} by month, ${unit}`}
          heads={['Month', 'Expected', 'Hardly less than', 'Hardly more than']}
          rows={figures.map(({ expected, low, high }, at) => [
            months[at] ?? '',
            text(expected),
            text(low),
            text(high),
          ])}
        />
      }
    />
  );
}
