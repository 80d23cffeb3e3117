import { useEffect, useState } from 'react';

/** The time by this device's clock, told anew every so many milliseconds. */
export function useNow(everyMs: number): number {
  const [nowAt, setNowAt] = useState(() => Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNowAt(Date.now()), everyMs);
    return () => clearInterval(timer);
  }, [everyMs]);
  return nowAt;
}
