import { Client } from 'pg';
import { fromEpochDay, toEpochDay } from '../../src/core/shared/calendar-date';
import { instantAtLocalTime } from '../../src/core/shared/local-time';
import { quantile } from '../../src/core/shared/statistics-quantile';
import type { Period } from '../../src/core/working-time/instant-set';
import { openIntervals } from '../../src/core/working-time/open-intervals';
import { prepareDiary } from '../../src/core/working-time/prepare-diary';
import { searchDiary } from '../../src/core/working-time/search-diary';
import type { DiaryQuestion, Technician, Workshop } from '../../src/core/working-time/workshop';
import { DAYS, FIRST_ON, fullWorkshop, variedQuestions, ZONE } from './bench-slots-core';
import { startBenchPostgres } from './bench-server';
import type { Figure } from './figures';

const ASKED = 120;
const QUARTER = 15 * 60_000;

/**
 * The search against the usual way of writing it: ask the database for the bookings of one day after the other, and
 * try every quarter of an hour, bay and person of that day, until five are found. Both answer the same questions about
 * the same diary, in turns. The usual way takes any one person for each competence and jobs within a day only, which is
 * less than the search has to do.
 */
export async function benchSlotsQuery(): Promise<Figure[]> {
  const fromAt = instantAtLocalTime(FIRST_ON, '00:00', ZONE);
  const untilAt = instantAtLocalTime(fromEpochDay(toEpochDay(FIRST_ON) + DAYS), '00:00', ZONE);
  const { workshop } = fullWorkshop(fromAt, untilAt);
  const postgres = await startBenchPostgres();
  const client = new Client({ connectionString: postgres.url() });
  await client.connect();
  try {
    await fillTable(client, workshop);
    const baseline = new DayByDay(client, workshop, fromAt);
    const diary = prepareDiary([workshop], fromAt, untilAt);
    const times = { search: [] as number[], whole: [] as number[], byDay: [] as number[] };
    for (const question of variedQuestions(fromAt, untilAt).slice(0, ASKED)) {
      times.byDay.push(await millisecondsOf(() => baseline.firstFive(question)));
      times.search.push(await millisecondsOf(() => searchDiary(diary, question)));
      times.whole.push(
        await millisecondsOf(async () =>
          searchDiary(
            prepareDiary([await loaded(client, workshop, fromAt, untilAt)], fromAt, untilAt),
            question,
          ),
        ),
      );
    }
    const median = (values: readonly number[]): number => quantile(values, 0.5);
    const ratio = (ours: readonly number[]): number =>
      median(times.byDay.map((time, index) => time / (ours[index] ?? NaN)));
    return [
      {
        key: 'slots_speedup',
        value: ratio(times.search),
        unit: '',
        comparison:
          `a query for each day and a plain scan ${median(times.byDay).toFixed(1)} ms, the search ${median(times.search).toFixed(2)} ms; ` +
          `with loading and preparing all ${DAYS} days each time ${median(times.whole).toFixed(0)} ms, ratio ${ratio(times.whole).toFixed(2)}`,
      },
    ];
  } finally {
    await client.end();
    await postgres.remove();
  }
}

async function millisecondsOf(work: () => unknown): Promise<number> {
  const started = performance.now();
  await work();
  return performance.now() - started;
}

async function fillTable(client: Client, { bays, technicians }: Workshop): Promise<void> {
  await client.query(
    'CREATE TABLE diary (resource_id text NOT NULL, starts_at timestamptz NOT NULL, ends_at timestamptz NOT NULL)',
  );
  for (const { id, busy } of [...bays, ...technicians]) {
    await client.query(
      `INSERT INTO diary SELECT $1, to_timestamp(s / 1000), to_timestamp(e / 1000) FROM unnest($2::float8[], $3::float8[]) AS p (s, e)`,
      [id, busy.map(({ startsAt }) => startsAt), busy.map(({ endsAt }) => endsAt)],
    );
  }
  await client.query('CREATE INDEX ON diary (starts_at, ends_at)');
  await client.query('CREATE INDEX ON diary (resource_id, starts_at)');
  await client.query('VACUUM ANALYZE diary');
}

interface TakenRow {
  id: string;
  starts: number[];
  ends: number[];
}

async function loaded(
  client: Client,
  workshop: Workshop,
  fromAt: number,
  untilAt: number,
): Promise<Workshop> {
  const { rows } = await client.query<TakenRow>(
    `SELECT resource_id AS id, array_agg((extract(epoch FROM starts_at) * 1000)::float8 ORDER BY starts_at) AS starts,
        array_agg((extract(epoch FROM ends_at) * 1000)::float8 ORDER BY starts_at) AS ends
      FROM diary WHERE starts_at < to_timestamp($2::float8 / 1000) AND ends_at > to_timestamp($1::float8 / 1000) GROUP BY resource_id`,
    [fromAt, untilAt],
  );
  const busy = new Map(
    rows.map(({ id, starts, ends }) => [
      id,
      starts.map((startsAt, index): Period => ({ startsAt, endsAt: ends[index] ?? NaN })),
    ]),
  );
  const withBusy = <T extends { id: string }>(item: T): T => ({ ...item, busy: busy.get(item.id) ?? [] });
  return { ...workshop, bays: workshop.bays.map(withBusy), technicians: workshop.technicians.map(withBusy) };
}

class DayByDay {
  private readonly openOf = new Map<string, readonly Period[]>();

  constructor(
    private readonly client: Client,
    private readonly workshop: Workshop,
    private readonly fromAt: number,
  ) {}

  async firstFive({ job, vehicleBusy }: DiaryQuestion): Promise<number[]> {
    const found: number[] = [];
    const length = job.minutes * 60_000;
    const bays = this.workshop.bays.filter(({ kinds }) => job.bayKinds.every((kind) => kinds.includes(kind)));
    for (let day = 0; day < DAYS && found.length < 5; day++) {
      const on = fromEpochDay(toEpochDay(FIRST_ON) + day);
      const [dayFrom, dayUntil] = [
        instantAtLocalTime(on, '00:00', ZONE),
        instantAtLocalTime(fromEpochDay(toEpochDay(on) + 1), '00:00', ZONE),
      ];
      const { rows } = await this.client.query<{ id: string; startsAt: Date; endsAt: Date }>(
        `SELECT resource_id AS id, starts_at AS "startsAt", ends_at AS "endsAt" FROM diary
          WHERE starts_at < to_timestamp($2::float8 / 1000) AND ends_at > to_timestamp($1::float8 / 1000)`,
        [dayFrom, dayUntil],
      );
      const taken = new Map<string, { from: number; until: number }[]>();
      for (const { id, startsAt, endsAt } of rows) {
        const list = taken.get(id) ?? [];
        taken.set(id, list);
        list.push({ from: startsAt.getTime(), until: endsAt.getTime() });
      }
      const isFree = (id: string, at: number): boolean =>
        (taken.get(id) ?? []).every(({ from, until }) => until <= at || from >= at + length);
      for (let at = dayFrom; at < dayUntil && found.length < 5; at += QUARTER) {
        if (!this.isOpen('', at, at + length)) continue;
        if (vehicleBusy.some(({ startsAt, endsAt }) => startsAt < at + length && at < endsAt)) continue;
        if (!bays.some(({ id }) => isFree(id, at))) continue;
        const people = this.workshop.technicians.filter(
          (person) => isFree(person.id, at) && this.isThere(person, at, at + length),
        );
        const able = (codes: readonly string[]): boolean =>
          people.some(({ competences }) =>
            codes.every((code) => competences.some((one) => one.code === code)),
          );
        const needed = job.needed.length === 0 ? [{ competences: [] }] : job.needed;
        if (needed.every(({ competences }) => able(competences))) found.push(at);
      }
    }
    return found;
  }

  private isThere(person: Technician, from: number, until: number): boolean {
    return (
      this.isOpen(person.id, from, until) &&
      person.absences.every(({ startsAt, endsAt }) => endsAt <= from || startsAt >= until)
    );
  }

  private isOpen(personId: string, from: number, until: number): boolean {
    let open = this.openOf.get(personId);
    if (open === undefined) {
      const person = this.workshop.technicians.find(({ id }) => id === personId);
      const pattern = person === undefined ? this.workshop.opening : { zone: ZONE, weekly: person.shifts };
      const flat = openIntervals(pattern, this.fromAt, this.fromAt + (DAYS + 1) * 86_400_000);
      open = Array.from({ length: flat.length / 2 }, (_, i) => ({
        startsAt: flat[2 * i] ?? NaN,
        endsAt: flat[2 * i + 1] ?? NaN,
      }));
      this.openOf.set(personId, open);
    }
    return open.some(({ startsAt, endsAt }) => startsAt <= from && until <= endsAt);
  }
}
