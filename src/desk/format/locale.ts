/** The first of these that this browser can write numbers and dates in; some call their language by names of their own. */
export function usableLocale(wanted: readonly (string | null)[]): string {
  return wanted.find((each) => each !== null && isUsable(each)) ?? 'en-GB';
}

function isUsable(locale: string): boolean {
  try {
    return Intl.DateTimeFormat.supportedLocalesOf(locale).length > 0;
  } catch (error) {
    // not a language tag (BCP 47)
    if (error instanceof RangeError) return false;
    throw error;
  }
}
