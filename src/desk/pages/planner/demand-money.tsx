import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { TextField } from '../../design/field';
import { typedNumber } from '../../format/units';
import { useReader } from '../../session/session';
import { monthlyMoney, seriesWords, type DemandSeries, type Prices } from './demand-figures';
import { FigureRows } from './figure-rows';
import { moneyText } from './money';
import { planningSettings } from './planner-data';

const KEPT = 'precharge-prices';

/** What the demand will cost at the reader's prices, which are kept on this device. */
export function DemandMoney({
  series,
  months,
}: {
  series: readonly DemandSeries[];
  months: readonly string[];
}) {
  const { locale } = useReader();
  const settings = useQuery(planningSettings);
  const currency = settings.data?.currency ?? '';
  const [typed, setTyped] = useState(keptPrices);
  const priced = series.filter(({ kind }) => kind !== 'task');
  const prices = useMemo(() => pricesOf(typed, locale), [typed, locale]);
  const money = monthlyMoney(priced, prices, months.length);
  const isPriced = Object.values(prices).some((price) => price > 0);
  const change = (key: string, text: string): void => {
    const next = { ...typed, [key]: text };
    setTyped(next);
    localStorage.setItem(KEPT, JSON.stringify(next));
  };
  return (
    <section className="sheet stack" aria-label="Money">
      <h2>Money</h2>
      <details className="screen-only">
        <summary>Prices, in {currency}; kept on this device</summary>
        <div className="columns">
          {priced.map(({ key, kind, name, unit }) => {
            const text = typed[key] ?? '';
            return (
              <TextField
                key={key}
                label={`${seriesWords({ kind, name })}, for one ${unit === 'gas units' ? 'gas unit' : unit}`}
                unit={currency}
                inputMode="decimal"
                value={text}
                onChange={(event) => change(key, event.target.value)}
                fault={
                  text.trim() === '' || isPrice(text, locale) ? undefined : 'Give an amount, such as 12.50.'
                }
              />
            );
          })}
        </div>
      </details>
      {isPriced ? (
        <FigureRows
          caption="Money by month"
          heads={['Month', 'Expected', 'Hardly less than', 'Hardly more than']}
          rows={money.map(({ expected, low, high }, at) => [
            months[at] ?? '',
            moneyText(expected, currency, locale),
            moneyText(low, currency, locale),
            moneyText(high, currency, locale),
          ])}
        />
      ) : (
        <p className="soft">
          Enter what an hour of labour and the material cost, and the months are told in money.
        </p>
      )}
    </section>
  );
}

const isPrice = (text: string, locale: string): boolean => (typedNumber(text, locale) ?? -1) >= 0;

/** Hundredths, by the key of what is priced; what is no amount counts for nothing. */
function pricesOf(typed: Readonly<Record<string, string>>, locale: string): Prices {
  return Object.fromEntries(
    Object.entries(typed).map(([key, text]) => [key, Math.max(0, typedNumber(text, locale) ?? 0) * 100]),
  );
}

function keptPrices(): Record<string, string> {
  const kept: unknown = JSON.parse(localStorage.getItem(KEPT) ?? '{}');
  if (typeof kept !== 'object' || kept === null) return {};
  return Object.fromEntries(Object.entries(kept).filter(([, text]) => typeof text === 'string'));
}
