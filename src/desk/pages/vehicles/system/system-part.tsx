import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { Notice, ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { drawSystem } from '../drawing/draw-system';
import { FluidSystem } from '../drawing/system-drawing';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { Cautions } from './cautions';
import { Findings } from './findings';
import { useDrawnUnits } from './use-drawn-units';

/** The vehicle's own fluid system: drawn, with what must not be overlooked said in words. */
export default function SystemPart({ vehicle }: VehiclePartProps) {
  const { data: system, error } = useQuery(vehicleQueries(vehicle.id).system);
  const { units, error: unitsError } = useDrawnUnits(vehicle.id);
  const drawing = useMemo(
    () =>
      system === undefined || units === undefined
        ? undefined
        : drawSystem({
            recorded: system.recordedAt !== null,
            effective: system.derived.effective,
            units,
          }),
    [system, units],
  );
  if (system === undefined || drawing === undefined) {
    const failed = error ?? unitsError;
    return failed === null ? <Waiting what="the fluid system" /> : <ProblemNotice error={failed} />;
  }
  return (
    <section className="stack" aria-labelledby="system">
      <h2 id="system">Fluid system</h2>
      {system.recordedAt === null ? (
        <Notice tone="warn" title="Nobody has recorded this vehicle's fluid system yet">
          <p>
            Everything below is dashed: nothing of it is verified.{' '}
            <Link href={`/vehicles/${vehicle.id}/layout`}>Look at the vehicle and record what you see</Link>
          </p>
        </Notice>
      ) : null}
      <Findings derived={system.derived} />
      <FluidSystem drawing={drawing} of={vehicle.registrationMark} />
      <Cautions cautions={system.derived.cautions} />
    </section>
  );
}
