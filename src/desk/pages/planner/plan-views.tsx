import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Schemas } from '../../api/client';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { dayText, weekText } from '../../format/days';
import { numberText } from '../../format/units';
import { useReader } from '../../session/session';
import { availabilityOption, loadOption, type ChartColours } from './chart-options';
import { ChartWithTable } from './chart-with-table';
import { FigureRows } from './figure-rows';
import { planViews } from './planner-data';

/** Availability of each depot before and after, and the load of each workshop. */
export function PlanViews({ planId }: { planId: string }) {
  const views = useQuery(planViews(planId));
  if (views.isPending) return <Waiting what="availability and load" />;
  if (views.isError) return <ProblemNotice error={views.error} />;
  return (
    <section className="stack" aria-label="Availability and load">
      <h2>Availability and load</h2>
      <div className="columns">
        {views.data.depots.map((depot) => (
          <DepotView key={depot.depotId} depot={depot} />
        ))}
        {views.data.workshops.map((workshop) => (
          <WorkshopView key={workshop.workshopId} workshop={workshop} />
        ))}
      </div>
    </section>
  );
}

function DepotView({ depot: { name, days } }: { depot: Schemas['DepotAvailabilityDto'] }) {
  const { locale } = useReader();
  const number = (value: number): string => numberText(value, locale, 0);
  const lines = useMemo(
    () =>
      days.map(({ on, vehicles, neededOnRoad, offRoadBefore, offRoadAfter }) => ({
        label: dayText(on, locale),
        before: vehicles - offRoadBefore,
        after: vehicles - offRoadAfter,
        needed: neededOnRoad,
      })),
    [days, locale],
  );
  const optionFor = useMemo(
    () => (colours: ChartColours) =>
      availabilityOption(
        {
          colours,
          labels: lines.map(({ label }) => label),
          unit: 'vehicles on the road',
          numberText: (value) => numberText(value, locale, 0),
        },
        lines,
      ),
    [lines, locale],
  );
  const short = lines.filter(({ after, needed }) => after < needed).length;
  const shortBefore = lines.filter(({ before, needed }) => before < needed).length;
  return (
    <ChartWithTable
      title={`${name}: vehicles on the road`}
      summary={
        short === 0
          ? 'As many as the roster needs on every day.'
          : `Fewer than the roster needs on ${number(short)} days; ${number(shortBefore)} of them are so as booked today.`
      }
      optionFor={optionFor}
      table={
        <FigureRows
          caption={`${name}: vehicles on the road by day`}
          heads={['Day', 'As booked today', 'With the plan', 'The roster needs', 'Short']}
          rows={lines.map(({ label, before, after, needed }) => [
            label,
            number(before),
            number(after),
            number(needed),
            after < needed ? `■ ${number(needed - after)}` : '–',
          ])}
        />
      }
    />
  );
}

function WorkshopView({ workshop: { name, weeks } }: { workshop: Schemas['WorkshopLoadDto'] }) {
  const { locale } = useReader();
  const hours = (value: number): string => numberText(value, locale, 1);
  const lines = useMemo(
    () =>
      weeks.map(({ weekOn, freeMinutes, bookedMinutes, plannedMinutes }) => ({
        label: weekText(weekOn),
        bookedHours: bookedMinutes / 60,
        plannedHours: plannedMinutes / 60,
        openHours: (freeMinutes + bookedMinutes) / 60,
      })),
    [weeks],
  );
  const optionFor = useMemo(
    () => (colours: ChartColours) =>
      loadOption(
        {
          colours,
          labels: lines.map(({ label }) => label),
          unit: 'hours of the bays',
          numberText: (value) => numberText(value, locale, 0),
        },
        lines,
      ),
    [lines, locale],
  );
  const sum = (of: (line: (typeof lines)[number]) => number): number =>
    lines.reduce((total, line) => total + of(line), 0);
  return (
    <ChartWithTable
      title={`${name}: hours of the bays by week`}
      summary={`${hours(sum((line) => line.bookedHours))} h booked and ${hours(sum((line) => line.plannedHours))} h planned of ${hours(sum((line) => line.openHours))} h that the bays are open.`}
      optionFor={optionFor}
      table={
        <FigureRows
          caption={`${name}: hours of the bays by week`}
          heads={['ISO week', 'Booked already', 'Planned', 'Open']}
          rows={lines.map(({ label, bookedHours, plannedHours, openHours }) => [
            label,
            hours(bookedHours),
            hours(plannedHours),
            hours(openHours),
          ])}
        />
      }
    />
  );
}
