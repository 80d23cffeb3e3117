import { useCallback } from 'react';
import { momentText } from '../../../format/days';
import { useReader } from '../../../session/session';

/** The reader's own clock: for what happened to records, not to vehicles. */
export const readersZone = (): string => new Intl.DateTimeFormat().resolvedOptions().timeZone;

/** Writes instants on the reader's own clock; a dash where there is none. */
export function useMomentText(): (at: string | null) => string {
  const { locale } = useReader();
  return useCallback((at) => (at === null ? '–' : momentText(at, readersZone(), locale)), [locale]);
}
