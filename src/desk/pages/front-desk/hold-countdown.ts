/** What is left of a hold, such as `14:05`; `0:00` when it is over. */
export function leftText(untilAt: string, nowAt: number): string {
  const seconds = secondsLeft(untilAt, nowAt);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}

/** Whole seconds, counted down: the last one is shown until it is over. */
export function secondsLeft(untilAt: string, nowAt: number): number {
  return Math.max(0, Math.ceil((Date.parse(untilAt) - nowAt) / 1_000));
}
