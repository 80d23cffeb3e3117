import { useEffect, useRef } from 'react';

/** Gives the focus to a booking as soon as it is drawn, unless it has gone somewhere else meanwhile. */
export function useFocusBack(): (bookingId: string) => void {
  const wanted = useRef<string | null>(null);
  useEffect(() => {
    if (wanted.current === null) return;
    const isElsewhere = document.activeElement !== null && document.activeElement !== document.body;
    const places = [...document.querySelectorAll<HTMLElement>(`[data-booking="${wanted.current}"]`)];
    const place = places.find((each) => each.checkVisibility());
    if (!isElsewhere) place?.focus();
    if (isElsewhere || place !== undefined) wanted.current = null;
  });
  return (bookingId) => {
    wanted.current = bookingId;
  };
}
