const CALENDAR = /^\/v1\/calendars\/[^/]+/;

/** The path of a request as logs and problem documents show it: without the query, and without a secret within it. */
export function shownPath(url: string): string {
  const [path = ''] = url.split('?');
  return path.replace(CALENDAR, '/v1/calendars/(secret)');
}
