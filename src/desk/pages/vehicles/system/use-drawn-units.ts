import { useQueries, useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { pressureText } from '../../../format/units';
import { useReader } from '../../../session/session';
import type { DrawnUnit } from '../drawing/scheme';
import { NONE_ON_RECORD, unitCondition } from '../drawing/unit-condition';
import { forecastQuery, vehicleQueries } from '../vehicle-queries';

/** The gas units of a vehicle with how each is; undefined until it is known where they are. */
export function useDrawnUnits(vehicleId: string): { units: DrawnUnit[] | undefined; error: Error | null } {
  const { locale, pressureUnit } = useReader();
  const { data: positions, error } = useQuery(vehicleQueries(vehicleId).positions);
  const { data: due } = useQuery(vehicleQueries(vehicleId).dueItems);
  const fitted = positions?.items.flatMap(({ unit }) => (unit === null ? [] : [unit.gasUnitId])) ?? [];
  const forecasts = useQueries({
    queries: fitted.map(forecastQuery),
    combine: (results) =>
      new Map(
        results.map(({ data, isError }, index) => [fitted[index] ?? '', isError ? null : data] as const),
      ),
  });
  const units = useMemo(
    () =>
      positions?.items
        // where the layout has no unit and none is on record there is nothing to draw
        .filter(({ unit, expectation }) => unit !== null || expectation !== 'not-expected')
        .map(({ position, unit }): DrawnUnit => {
          if (unit === null)
            return {
              position,
              gasUnitId: null,
              serialNumber: null,
              condition: NONE_ON_RECORD,
              precharge: null,
            };
          const { gasUnitId, serialNumber } = unit;
          const forecast = forecasts.get(gasUnitId);
          const states =
            due?.items.filter(({ unitId }) => unitId === gasUnitId).map(({ state }) => state) ?? [];
          const bar = forecast?.present?.median20BarGauge;
          return {
            position,
            gasUnitId,
            serialNumber,
            condition: unitCondition(states, forecast),
            // kept together when lines are broken
            precharge:
              bar === undefined
                ? null
                : `${pressureText(bar, pressureUnit, locale).replace(' ', '\u00a0')} at\u00a020\u00a0°C`,
          };
        }),
    [positions, due, forecasts, pressureUnit, locale],
  );
  return { units, error };
}
