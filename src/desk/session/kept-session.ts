import type { DeviceStorage } from './kept-on-device';
import type { Session } from './session';

const KEPT = 'precharge-session';

// It opens nothing: the cookie does, and scripts cannot read that. It says whose entries this device keeps.

/** Keeps who is signed in, for when the desk is opened without a connection. */
export function rememberSession(storage: DeviceStorage, session: Session): void {
  storage.setItem(KEPT, JSON.stringify(session));
}

export function forgetSession(storage: DeviceStorage): void {
  storage.removeItem(KEPT);
}

/** Who was signed in here last; null once that session is over. @param now milliseconds since the epoch */
export function rememberedSession(storage: DeviceStorage, now: number): Session | null {
  const text = storage.getItem(KEPT);
  if (text === null) return null;
  const session = JSON.parse(text) as Session;
  return Date.parse(session.latestExpiresAt) > now ? session : null;
}
