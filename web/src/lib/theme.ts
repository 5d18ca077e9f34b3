export const themes = ['light', 'dark', 'contrast'] as const;
export type Theme = (typeof themes)[number];
export const themeWords: Record<Theme, string> = { light: 'Light', dark: 'Dark', contrast: 'High contrast' };

const key = 'handrail.theme';

/** What was chosen here before, else what the system asks for. */
export function firstTheme(): Theme {
  const kept = localStorage.getItem(key);
  const known = themes.find((one) => one === kept);
  if (known) return known;
  if (matchMedia('(prefers-contrast: more)').matches) return 'contrast';
  return matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light';
}
export function show(theme: Theme): void {
  document.documentElement.dataset['theme'] = theme;
}
export function keep(theme: Theme): void {
  localStorage.setItem(key, theme);
}
export const after = (theme: Theme): Theme => themes[(themes.indexOf(theme) + 1) % themes.length] ?? 'light';
