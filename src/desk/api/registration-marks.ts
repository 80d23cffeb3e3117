import { answered, api } from './client';

const MOST_AT_ONCE = 100;

/** Registration marks by id, of vehicles that have left the fleet as well. */
export async function registrationMarks(vehicleIds: readonly string[]): Promise<Map<string, string>> {
  const wanted = [...new Set(vehicleIds)].sort();
  const parts = Array.from({ length: Math.ceil(wanted.length / MOST_AT_ONCE) }, (_, part) =>
    wanted.slice(part * MOST_AT_ONCE, (part + 1) * MOST_AT_ONCE),
  );
  const answers = await Promise.all(
    parts.map((part) =>
      answered(
        api.GET('/v1/vehicles', {
          params: { query: { vehicleIds: part, includeRetired: true, limit: MOST_AT_ONCE } },
        }),
      ),
    ),
  );
  return new Map(answers.flatMap(({ items }) => items.map((each) => [each.id, each.registrationMark])));
}
