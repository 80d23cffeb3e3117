import { useState } from 'react';
import { useReader } from '../../session/session';
import type { ExtraWork } from './extra-work-entry';

/** What has been entered during a call and is not booked yet. */
export interface CallDraft {
  /** keys of due items; null while it is what is overdue and due */
  ticks: string[] | null;
  extraWork: ExtraWork[];
  /** calendar date before which the caller cannot come; empty: from now on */
  notBefore: string;
  contact: string;
  note: string;
  failed: boolean;
  holdMinutes: number;
}

const EMPTY: CallDraft = {
  ticks: null,
  extraWork: [],
  notBefore: '',
  contact: '',
  note: '',
  failed: false,
  holdMinutes: 15,
};

// in this tab only, and only for who entered it
const KEPT = 'precharge-call';

interface Kept {
  personId: string;
  vehicleId: string;
  draft: CallDraft;
}

/** What was entered for a vehicle outlives a reload of the page; the next call begins with nothing. */
export function useCallDraft(vehicleId: string): [CallDraft, (change: Partial<CallDraft>) => void] {
  const personId = useReader().session.person.id;
  const [draft, setDraft] = useState(() => keptDraft(personId, vehicleId));
  const change = (part: Partial<CallDraft>): void => {
    const next = { ...draft, ...part };
    setDraft(next);
    sessionStorage.setItem(KEPT, JSON.stringify({ personId, vehicleId, draft: next } satisfies Kept));
  };
  return [draft, change];
}

/** Nothing of the caller stays on the computer. */
export function forgetDraft(): void {
  sessionStorage.removeItem(KEPT);
}

function keptDraft(personId: string, vehicleId: string): CallDraft {
  const text = sessionStorage.getItem(KEPT);
  if (text === null) return EMPTY;
  const kept = JSON.parse(text) as Kept;
  return kept.personId === personId && kept.vehicleId === vehicleId ? { ...EMPTY, ...kept.draft } : EMPTY;
}
