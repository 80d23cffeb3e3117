import { useQuery } from '@tanstack/react-query';
import { DateTime } from 'luxon';
import { Link, useParams } from 'wouter';
import type { Schemas } from '../../api/client';
import { Notice, ProblemNotice } from '../../design/notice';
import { Page, Waiting } from '../../design/page';
import { dayText } from '../../format/days';
import { numberText, pressureText } from '../../format/units';
import { useReader } from '../../session/session';
import { depotsQuery } from '../vehicles/vehicle-queries';
import { inWords, positionWords } from '../../format/words';
import { Events } from './events';
import { MoveUnit } from './move-unit';
import { Outlook } from './outlook';
import { Placements } from './placements';
import { RecordMeasurement } from './record-measurement';
import { unitQueries, unitTypeQuery } from './unit-queries';

/** A gas unit: where it is, how it is, and what was measured on it. */
export default function UnitPage() {
  const { gasUnitId } = useParams<{ gasUnitId: string }>();
  const of = unitQueries(gasUnitId);
  const { data: unit, error } = useQuery(of.unit);
  const forecast = useQuery(of.forecast);
  if (unit === undefined)
    return (
      <Page title="Gas unit">
        {error === null ? <Waiting what="the gas unit" /> : <ProblemNotice error={error} />}
      </Page>
    );
  return (
    <Page title={`Gas unit ${unit.serialNumber}`} lead={<Where unit={unit} />}>
      <div className="columns">
        <Outlook forecast={forecast.data} error={forecast.error} />
        <UnitType gasUnitTypeId={unit.unitTypeId} unit={unit} />
      </div>
      <Notice tone="warn" title="Before anybody unscrews, tests or charges it: stored pressure, nitrogen">
        <ul>
          {unit.cautions.map(({ code, text }) => (
            <li key={code}>{text}</li>
          ))}
        </ul>
      </Notice>
      <RecordMeasurement key={gasUnitId} unit={unit} forecast={forecast.data} />
      <MoveUnit
        key={`move ${gasUnitId}`}
        gasUnitId={gasUnitId}
        zone={forecast.data?.zone ?? DateTime.local().zoneName}
      />
      <Events gasUnitId={gasUnitId} forecast={forecast.data} serialNumber={unit.serialNumber} />
      <Placements gasUnitId={gasUnitId} serialNumber={unit.serialNumber} />
    </Page>
  );
}

function Where({ unit: { place } }: { unit: Schemas['GasUnitDetailsDto'] }) {
  const { data: depots } = useQuery(depotsQuery);
  if (place === null) return <>Nobody has recorded where it is.</>;
  if (place.vehicleId !== null)
    return (
      <>
        Fitted to <Link href={`/vehicles/${place.vehicleId}`}>{place.registrationMark}</Link>
        {place.position === null ? '' : `, ${positionWords(place.position).toLowerCase()}`}
      </>
    );
  const depot = depots?.find(({ id }) => id === place.depotId)?.name;
  return (
    <>
      {inWords(place.state)}
      {depot === undefined ? '' : `, ${depot}`}
      {place.awayWith === null ? '' : `, with ${place.awayWith}`}
    </>
  );
}

function UnitType({ gasUnitTypeId, unit }: { gasUnitTypeId: string; unit: Schemas['GasUnitDetailsDto'] }) {
  const { locale, pressureUnit } = useReader();
  const { data: type } = useQuery(unitTypeQuery(gasUnitTypeId));
  return (
    <section className="stack" aria-label="Type">
      <p>
        <strong>{type?.name ?? unit.unitTypeCode}</strong> ({unit.unitTypeCode})
      </p>
      {type === undefined ? null : (
        <ul>
          <li>
            Nominal precharge {pressureText(type.nominalPrecharge20BarGauge, pressureUnit, locale)} at 20 °C
          </li>
          <li>Gas volume {numberText(type.gasVolumeCm3, locale, 0)} cm³</li>
          {type.damperIntegral ? <li>The damper is part of it and goes with it.</li> : null}
        </ul>
      )}
      <ul>
        {unit.madeOn === null ? null : <li>Made {dayText(unit.madeOn, locale)}</li>}
        {unit.note === null ? null : <li>{unit.note}</li>}
      </ul>
    </section>
  );
}
