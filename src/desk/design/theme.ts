export const themes = ['system', 'light', 'dark'] as const;
export type Theme = (typeof themes)[number];

const KEPT = 'precharge-theme';

/** What was chosen on this device. */
export function chosenTheme(): Theme {
  const kept = localStorage.getItem(KEPT);
  return themes.find((theme) => theme === kept) ?? 'system';
}

export function chooseTheme(theme: Theme): void {
  localStorage.setItem(KEPT, theme);
  showTheme();
}

/** Shows the page in what was chosen; without a choice the browser decides. */
export function showTheme(): void {
  const theme = chosenTheme();
  if (theme === 'system') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
}
