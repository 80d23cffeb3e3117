import { useEffect, useEffectEvent, useSyncExternalStore } from 'react';
import { isShortcut, type Place } from './shortcuts';

const KEPT = 'precharge-shortcuts';
const listeners = new Set<() => void>();

const areOn = (): boolean => localStorage.getItem(KEPT) !== 'off';

/** Whether single keys do something; whoever speaks to the computer may want them off (WCAG 2.2, 2.1.4). */
export function useShortcutsOn(): boolean {
  return useSyncExternalStore((listener) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  }, areOn);
}

export function switchShortcuts(on: boolean): void {
  if (on) localStorage.removeItem(KEPT);
  else localStorage.setItem(KEPT, 'off');
  for (const listener of listeners) listener();
}

/** Does something at a press of a key, while nobody types and no dialog is open. */
export function useShortcut(shortcut: string | undefined, act: () => void): void {
  const on = useShortcutsOn();
  const onPress = useEffectEvent((event: KeyboardEvent) => {
    if (shortcut === undefined || document.querySelector('dialog[open]') !== null) return;
    if (!isShortcut(event, placeOf(event.target), shortcut)) return;
    // the letter must not land in the field that it leads to
    event.preventDefault();
    act();
  });
  useEffect(() => {
    if (!on || shortcut === undefined) return;
    const listen = (event: KeyboardEvent): void => onPress(event);
    addEventListener('keydown', listen);
    return () => removeEventListener('keydown', listen);
  }, [on, shortcut]);
}

function placeOf(target: EventTarget | null): Place | null {
  if (target instanceof HTMLInputElement) return target;
  return target instanceof HTMLElement ? target : null;
}
