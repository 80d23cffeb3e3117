import type { Consumable } from '../../core/due/rule';

/** A due item that a booking takes on, as it was when it was booked. */
export interface BookedItem {
  dueItemKey: string;
  /** with the key: which piece of work it was, once and for all */
  cycle: string;
  task: string;
  title: string;
  position: string | null;
  safetyCritical: boolean;
  minutes: number;
  /** its rule names no minutes */
  minutesAssumed: boolean;
  competences: readonly string[];
  bayKind: string | null;
  consumables: readonly Consumable[];
}

/** Work that somebody asked for beside what is due. */
export interface ExtraWork {
  title: string;
  minutes: number;
  competences: string[];
  bayKind: string | null;
}

export interface BookedWork {
  items: BookedItem[];
  extra: ExtraWork[];
}
