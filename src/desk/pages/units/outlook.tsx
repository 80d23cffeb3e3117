import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { StateMark } from '../../design/state-mark';
import { pressureText } from '../../format/units';
import { useReader } from '../../session/session';
import { unitCondition } from '../vehicles/drawing/unit-condition';
import { inWords } from '../../format/words';
import { useTold } from '../../session/use-told';
import { howSure, type Forecast } from './outlook-words';

/** How the unit is today, when it will have to be recharged, and how sure that is. */
export function Outlook({ forecast, error }: { forecast: Forecast | undefined; error: Error | null }) {
  const { locale, pressureUnit } = useReader();
  const told = useTold();
  if (forecast === undefined)
    return error === null ? <Waiting what="the forecast" /> : <ProblemNotice error={error} />;
  const { present, limit, missing } = forecast;
  const condition = unitCondition([], forecast);
  const text = (bar: number): string => pressureText(bar, pressureUnit, locale);
  return (
    <section className="stack" aria-label="How it is">
      <p>
        {condition.tone === 'none' ? null : (
          <StateMark tone={condition.tone}>{inWords(condition.words)}</StateMark>
        )}
        {present === null
          ? null
          : `: about ${text(present.median20BarGauge)} at 20 °C (${text(present.low20BarGauge)} to ${text(present.high20BarGauge)}); recharge below ${text(limit.limit20BarGauge)}`}
      </p>
      <p>{howSure(forecast, locale)}</p>
      {missing.length === 0 ? null : (
        <Notice tone="info" title="What a forecast lacks">
          <ul>
            {missing.map((sentence) => (
              <li key={sentence}>{told(sentence)}</li>
            ))}
          </ul>
        </Notice>
      )}
      <p className="small soft">
        {LIMIT_ORIGINS[limit.origin]} A forecast advises; it is never a certificate.
      </p>
    </section>
  );
}

const LIMIT_ORIGINS: Record<Forecast['limit']['origin'], string> = {
  rule: 'The limit is that of a rule of the service programme.',
  'programme-share': 'The limit is the share of nominal that the service programme sets.',
  'common-practice': 'The service programme sets no limit: this one is common practice.',
};
