/** How a state looks: a shape, a tone and its words, so that neither colour nor shape has to be made out alone. */
export type Tone = 'good' | 'info' | 'warn' | 'bad' | 'unknown';

/** Drawn in a square of 16 units. */
export const SHAPES: Record<Tone, string> = {
  good: 'M8 1.5a6.5 6.5 0 1 0 0 13a6.5 6.5 0 0 0 0-13Z',
  info: 'M8 1l7 7l-7 7l-7-7Z',
  warn: 'M8 1.5L15.5 14.5H.5Z',
  bad: 'M1.5 1.5h13v13h-13Z',
  unknown: 'M8 2a6 6 0 1 0 0 12a6 6 0 0 0 0-12Z',
};
