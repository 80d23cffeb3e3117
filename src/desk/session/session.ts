import { createContext, useContext } from 'react';
import type { Schemas } from '../api/client';
import { usableLocale } from '../format/locale';
import type { DistanceUnit, PressureUnit } from '../format/units';

export type Role = 'fleet-planner' | 'front-desk' | 'technician' | 'dealer-system' | 'administrator';

/** Who is signed in. */
export type Session = Schemas['SessionDto'];

export interface Reader {
  session: Session;
  /** BCP 47; how dates and numbers are written */
  locale: string;
  distanceUnit: DistanceUnit;
  pressureUnit: PressureUnit;
}

export const ReaderContext = createContext<Reader | null>(null);

/** Who reads the page, and how they read numbers and dates. Only below the sign-in. */
export function useReader(): Reader {
  const reader = useContext(ReaderContext);
  if (reader === null) throw new Error('a page was drawn for nobody');
  return reader;
}

/** Whether the one who is signed in has one of these roles. */
export function useHasRole(...roles: Role[]): boolean {
  return roles.includes(useReader().session.person.role);
}

export function readerOf(session: Session): Reader {
  const { locale, distanceUnit, pressureUnit } = session.person;
  return { session, locale: usableLocale([locale, ...navigator.languages]), distanceUnit, pressureUnit };
}
