/** Gives a button the focus with as much as can be seen of the part of the page that it belongs to. */
export function focusInSight(button: HTMLElement | null | undefined): void {
  button?.focus({ preventScroll: true });
  button?.closest('section, form')?.scrollIntoView({ block: 'nearest' });
  button?.scrollIntoView({ block: 'nearest' });
}
