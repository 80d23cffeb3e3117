/** A depot of the demo fleet. The names are invented places. */
export interface DemoDepot {
  externalKey: string;
  name: string;
  /** IANA time zone. */
  zone: string;
}

export const TARN_VALLEY_FLEET = {
  externalKey: 'tarn-valley',
  name: 'Tarn Valley Patient Transport',
} as const;

export const TARNHOLME: DemoDepot = { externalKey: 'tarnholme', name: 'Tarnholme', zone: 'Europe/London' };
export const SKELMIRE: DemoDepot = {
  externalKey: 'skelmire',
  name: 'Skelmire Bridge',
  zone: 'Europe/London',
};
export const VALTARNE: DemoDepot = { externalKey: 'valtarne', name: 'Valtarne', zone: 'Europe/Paris' };

/** Two depots in one zone and a third in another, so that "today" is not the same everywhere. */
export const TARN_VALLEY_DEPOTS: readonly DemoDepot[] = [TARNHOLME, SKELMIRE, VALTARNE];
