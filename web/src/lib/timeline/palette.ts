// The colours the canvas is painted with: those of app.css, read from the page, so that each has one home.
const names = {
  sheet: '--sheet', paper: '--paper', ink: '--ink', quiet: '--quiet', line: '--line', lineStrong: '--line-strong', night: '--night',
  ev1: '--ev1', ev1Soft: '--ev1-soft', ev2: '--ev2', ev2Soft: '--ev2-soft', other: '--other', otherSoft: '--other-soft',
  wrong: '--wrong', wait: '--wait', waitSoft: '--wait-soft', strip: '--strip', stripWord: '--strip-word', focus: '--focus',
} as const;

export type Palette = Record<keyof typeof names | 'font', string>;

export function paletteOf(element: Element): Palette {
  const style = getComputedStyle(element);
  const out = Object.fromEntries(Object.entries(names).map(([key, name]) => [key, style.getPropertyValue(name).trim()]));
  return { ...out, font: style.fontFamily } as Palette;
}
