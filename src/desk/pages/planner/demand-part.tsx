import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { Button } from '../../design/button';
import { SelectField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { DemandMoney } from './demand-money';
import { DemandPicture } from './demand-picture';
import { DemandTable } from './demand-table';
import { demandCsv, demandSeries, seriesWords, type Demand } from './demand-figures';
import { demand, depots } from './planner-data';
import { PlannerPart } from './planner-part';
import { saveText } from './save-text';

const MONTHS = [6, 12, 24] as const;

/** What the coming months will ask for: labour, material, gas units, and what it will cost. */
export default function DemandPart() {
  const [months, setMonths] = useState<number>(12);
  const [depotId, setDepotId] = useState('');
  const allDepots = useQuery(depots);
  const asked = useQuery({
    ...demand({ months, depotId: depotId === '' ? undefined : depotId }),
    placeholderData: (before) => before,
  });
  return (
    <PlannerPart
      title="Demand"
      lead="What the coming months will ask for. Each figure lies within its band with a probability of 90 %."
      tools={
        asked.data === undefined ? undefined : (
          <>
            <Button onClick={() => saveText(demandCsv(asked.data), 'demand.csv', 'text/csv')}>
              Save as CSV
            </Button>
            <Button onClick={() => print()}>Print</Button>
          </>
        )
      }
    >
      <div className="columns screen-only">
        <SelectField
          label="Months"
          value={months}
          onChange={(event) => setMonths(Number(event.target.value))}
        >
          {MONTHS.map((count) => (
            <option key={count} value={count}>
              {count} months
            </option>
          ))}
        </SelectField>
        <SelectField label="Depot" value={depotId} onChange={(event) => setDepotId(event.target.value)}>
          <option value="">All depots</option>
          {(allDepots.data ?? []).map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </SelectField>
      </div>
      <ProblemNotice error={asked.error} />
      {asked.isPending ? <Waiting what="demand" /> : null}
      {asked.data === undefined ? null : <DemandFigures demand={asked.data} />}
    </PlannerPart>
  );
}

function DemandFigures({ demand: figures }: { demand: Demand }) {
  const { locale } = useReader();
  const told = useTold();
  const series = useMemo(() => demandSeries(figures), [figures]);
  const months = useMemo(() => figures.months.map(({ month }) => month), [figures]);
  const [key, setKey] = useState('labour');
  const shown = series.find((each) => each.key === key) ?? series[0];
  const number = (value: number): string => numberText(value, locale, 0);
  return (
    <>
      <div className="screen-only">
        <SelectField label="Draw" value={shown?.key} onChange={(event) => setKey(event.target.value)}>
          {series.map((each) => (
            <option key={each.key} value={each.key}>
              {seriesWords(each)} ({each.unit})
            </option>
          ))}
        </SelectField>
      </div>
      {shown === undefined ? null : <DemandPicture series={shown} months={months} />}
      <DemandTable series={series} months={months} />
      <DemandMoney series={series} months={months} />
      <section className="stack" aria-label="What the figures rest on">
        <h2>What the figures rest on</h2>
        <p>
          {number(figures.itemsCounted)} pieces of work.{' '}
          {figures.vehiclesWithoutItems > 0
            ? `${number(figures.vehiclesWithoutItems)} vehicles are not in them: no rule of a programme applies.`
            : ''}
        </p>
        {figures.cannotBeTold.length === 0 ? null : (
          <Notice tone="warn" title="Some of it cannot be told">
            <ul>
              {figures.cannotBeTold.map(({ code, items, sentence }) => (
                <li key={code}>
                  {number(items)}: {told(sentence)}
                </li>
              ))}
            </ul>
          </Notice>
        )}
        <ul className="small">
          {figures.assumptions.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
    </>
  );
}
