import { useEffect, useState } from 'react';
import { serverNow } from '../../api/client';

/** The moment by the clock of the service, told anew every second. */
export function useNow(): number {
  const [now, setNow] = useState(serverNow);
  useEffect(() => {
    const timer = setInterval(() => setNow(serverNow()), 1_000);
    return () => clearInterval(timer);
  }, []);
  return now;
}
