import { useEffect } from 'react';

const KEPT = 'precharge-diary-keys';

/** Single keys can be switched off: whoever speaks to the device says letters (WCAG 2.2, 2.1.4). */
export const singleKeysOn = (): boolean => localStorage.getItem(KEPT) !== 'off';
export const switchSingleKeys = (on: boolean): void => localStorage.setItem(KEPT, on ? 'on' : 'off');

/** Whether keys are text here, or belong to something that lies over the page. */
export function isTyping(target: EventTarget | null): boolean {
  if (document.querySelector('dialog[open]') !== null) return true;
  return (
    target instanceof HTMLElement &&
    (target.isContentEditable ||
      target.matches('input, select, textarea, [role="application"] *, [role="application"]'))
  );
}

/** Does what belongs to a single key, such as `n`, anywhere on the page while nobody types. */
export function useSingleKeys(does: Readonly<Record<string, () => void>>): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey) return;
      const act = does[event.key.toLowerCase()];
      if (act === undefined || isTyping(event.target) || !singleKeysOn()) return;
      event.preventDefault();
      act();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [does]);
}
