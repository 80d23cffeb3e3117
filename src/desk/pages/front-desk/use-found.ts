import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { answered, api } from '../../api/client';
import { foundOf, plain, type Found } from './found';

const PAUSE_MS = 50;
// more than are shown: the closest of them are not the first of the list
const MOST_VEHICLES = 50;
const MOST_UNITS = 8;

interface Answer {
  found: Found[];
  /** the list answers what stands in the field now */
  isCurrent: boolean;
  error: unknown;
}

/** What a part of a mark, number or serial number may mean, asked while somebody types. */
export function useFound(typed: string): Answer {
  const asked = useSettled(plain(typed));
  const { data, error, isPlaceholderData } = useQuery({
    queryKey: ['found', asked],
    queryFn: ({ signal }) => find(asked, signal),
    enabled: asked !== '',
    // the list does not flicker between two letters; nobody can choose from the old one
    placeholderData: (before) => before,
  });
  const isCurrent = asked === plain(typed) && !isPlaceholderData && (data !== undefined || error !== null);
  return { found: asked === '' || data === undefined ? [] : data, isCurrent, error };
}

async function find(part: string, signal: AbortSignal): Promise<Found[]> {
  const [vehicles, gasUnits] = await Promise.all([
    answered(api.GET('/v1/vehicles', { params: { query: { search: part, limit: MOST_VEHICLES } }, signal })),
    answered(api.GET('/v1/gas-units', { params: { query: { search: part, limit: MOST_UNITS } }, signal })),
  ]);
  return foundOf(part, { vehicles: vehicles.items, gasUnits: gasUnits.items });
}

/** The value once it has stayed the same for a moment. */
function useSettled(value: string): string {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(value), PAUSE_MS);
    return () => clearTimeout(timer);
  }, [value]);
  return settled;
}
