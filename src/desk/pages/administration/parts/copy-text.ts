/**
 * Puts a text on the clipboard. Without the Clipboard API, which needs https, the browser's older command copies what is
 * selected in the field.
 *
 * @returns whether it is there now
 */
export async function copyText(field: HTMLInputElement): Promise<boolean> {
  const clipboard = (navigator as Partial<Navigator>).clipboard;
  if (clipboard !== undefined) {
    const written = await clipboard.writeText(field.value).then(
      () => true,
      () => false, // not allowed here: the older way may be
    );
    if (written) return true;
  }
  field.focus();
  field.select();
  // eslint-disable-next-line @typescript-eslint/no-deprecated -- the only way without https
  return document.execCommand('copy');
}
