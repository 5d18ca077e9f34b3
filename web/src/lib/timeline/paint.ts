// Paints a scene of the timeline onto a canvas: a thousand blocks in a few milliseconds, so that moving it stays
// smooth. Everything it shows was placed before (layout.ts, links.ts); nothing is worked out here but pixels.
import { type Band, type Block, type Frame, lineHeight, type Post, type Sight } from './layout';
import type { Palette } from './palette';
import type { Tick, View } from './view';
import { xOf } from './view';

/** A moment that matters: a line through everything and a word on the rail. */
export interface Mark {
  readonly at: number;
  readonly words: string;
  readonly kind: 'limit' | 'gate' | 'home';
}
export interface Scene {
  readonly width: number;
  readonly view: View;
  /** What of it is on the screen when it comes to rest there: words keep to it. */
  readonly sight: Sight;
  /** Of the rail, by the flag that says now. */
  readonly flag: Sight;
  readonly frame: Frame;
  readonly blocks: readonly Block[];
  readonly posts: readonly Post[];
  readonly ticks: readonly Tick[];
  readonly dark: readonly Band[];
  readonly silent: readonly Band[];
  readonly waits: readonly { readonly x: number; readonly width: number; readonly y: number; readonly words: string }[];
  readonly links: readonly { readonly x1: number; readonly y1: number; readonly x2: number; readonly y2: number }[];
  readonly marks: readonly Mark[];
  /** Home in 8 of 10 simulated days. */
  readonly home: { readonly from: number; readonly to: number } | null;
  readonly picked: string | null;
  /** Labels of steps pinned by hand in the draft. */
  readonly pinned: ReadonlySet<string>;
  /** Where the draft breaks a rule. */
  readonly broken: readonly { readonly at: number; readonly lane: string }[];
}

type Brush = CanvasRenderingContext2D;

const hatchGap = 7;
function hatch(brush: Brush, x: number, width: number, height: number): void {
  brush.save();
  brush.beginPath();
  brush.rect(x, 0, width, height);
  brush.clip();
  brush.beginPath();
  for (let at = Math.floor((x - height) / hatchGap) * hatchGap; at < x + width; at += hatchGap) {
    brush.moveTo(at, height);
    brush.lineTo(at + height, 0);
  }
  brush.stroke();
  brush.restore();
}

function ground(brush: Brush, scene: Scene, colours: Palette): void {
  const { frame, width } = scene;
  brush.fillStyle = colours.sheet;
  brush.fillRect(0, 0, width, frame.height);
  brush.lineWidth = 1;
  brush.strokeStyle = colours.line;
  for (const band of scene.dark) {
    brush.fillStyle = colours.night;
    brush.globalAlpha = 0.55;
    brush.fillRect(band.x, 0, band.width, frame.height);
    hatch(brush, band.x, band.width, frame.height);
    brush.globalAlpha = 1;
  }
  brush.beginPath();
  for (const tick of scene.ticks) {
    const x = Math.round(xOf(scene.view, width, tick.at)) + 0.5;
    brush.moveTo(x, 0);
    brush.lineTo(x, frame.height);
  }
  brush.stroke();
}

/** A band's word, in sight where the band begins before it. */
function label(brush: Brush, band: Band, scene: Scene, y: number): void {
  const x = band.x < scene.sight.from && band.x + band.width > scene.sight.from + 60 ? scene.sight.from : band.x;
  if (band.label) brush.fillText(band.label, x + 4, y);
}

function rail(brush: Brush, scene: Scene, colours: Palette): void {
  const { frame, width } = scene;
  const y = frame.railY;
  brush.fillStyle = colours.sheet;
  brush.fillRect(0, y + 14, width, 30);
  brush.strokeStyle = colours.lineStrong;
  brush.lineWidth = 1.5;
  brush.strokeRect(-2, y + 14, width + 4, 30);
  brush.font = `600 9.5px ${colours.font}`;
  brush.textAlign = 'left';
  for (const band of scene.dark) {
    brush.fillStyle = colours.strip;
    brush.fillRect(band.x, y + 4, band.width, 10);
    brush.lineWidth = 0.8;
    brush.strokeRect(band.x, y + 4, band.width, 10);
    brush.fillStyle = colours.stripWord;
    label(brush, band, scene, y + 12.3);
  }
  brush.strokeStyle = colours.wait;
  for (const band of scene.silent) {
    brush.fillStyle = colours.waitSoft;
    brush.fillRect(band.x, y + 44, band.width, 10);
    brush.setLineDash([3, 2]);
    brush.lineWidth = 1;
    brush.strokeRect(band.x, y + 44, band.width, 10);
    brush.setLineDash([]);
    brush.fillStyle = colours.ink;
    label(brush, band, scene, y + 52.3);
  }
  if (scene.home) {
    const from = xOf(scene.view, width, scene.home.from);
    const to = xOf(scene.view, width, scene.home.to);
    brush.fillStyle = colours.quiet;
    brush.fillRect(from, y + 39, to - from, 3);
    brush.fillRect(from, y + 35, 2, 7);
    brush.fillRect(to - 2, y + 35, 2, 7);
  }
  for (const post of scene.posts) {
    brush.fillStyle = post.layer === 'done' ? colours.ink : colours.lineStrong;
    brush.fillRect(post.x - 2, post.y, 4, post.height);
  }
}

interface Coat { readonly fill: string; readonly edge: string; readonly word: string }
function coatOf(block: Block, colours: Palette): Coat {
  const [strong, soft] = block.lane === 'EV1' ? [colours.ev1, colours.ev1Soft] : block.lane === 'EV2' ? [colours.ev2, colours.ev2Soft] : [colours.other, colours.otherSoft];
  if (block.layer === 'done') return { fill: strong, edge: colours.sheet, word: colours.sheet };
  return { fill: soft, edge: strong, word: colours.ink };
}

/** EV2 is ruled where it is done, so that the two are told apart without colour. */
function ruling(brush: Brush, block: Block, colours: Palette): void {
  brush.fillStyle = colours.sheet;
  brush.globalAlpha = 0.35;
  for (let y = block.y + 4; y < block.y + block.height - 1; y += 6) brush.fillRect(block.x + 1, y, block.width - 2, 1);
  brush.globalAlpha = 1;
}

function words(brush: Brush, block: Block, coat: Coat, scene: Scene, colours: Palette): void {
  if (block.lines.length === 0) return;
  const x = (block.x < scene.sight.from && block.x + block.width > scene.sight.from ? scene.sight.from : block.x) + 5;
  let y = block.y + block.height / 2 + 4.5 - ((block.lines.length - 1) * lineHeight) / 2;
  for (const line of block.lines) {
    write(brush, line.strong ? 600 : 400, block.height < 15 ? 11 : 12, colours);
    if (block.layer === 'done' && block.lane === 'EV2') {
      brush.strokeStyle = coat.fill; // the ruling must not run through the letters
      brush.lineWidth = 3;
      brush.strokeText(line.words, x, y);
    }
    brush.fillStyle = coat.word;
    brush.fillText(line.words, x, y);
    y += lineHeight;
  }
}
/** Reading a font's name costs as much as a word: only when it changes. */
let written = '';
function write(brush: Brush, weight: number, size: number, colours: Palette): void {
  const font = `${weight} ${size}px ${colours.font}`;
  if (font !== written) brush.font = written = font;
}

function block(brush: Brush, one: Block, scene: Scene, colours: Palette): void {
  if (one.layer === 'plan') {
    brush.strokeStyle = colours.lineStrong;
    brush.lineWidth = 1.2;
    brush.strokeRect(one.x, one.y + 0.5, one.width, one.height - 1);
    return;
  }
  const coat = coatOf(one, colours);
  const running = one.layer === 'done' && one.activity.status === 'running';
  brush.fillStyle = coat.fill;
  brush.fillRect(one.x, one.y, one.width, one.height);
  if (one.layer === 'done' && one.lane === 'EV2' && one.width > 3) ruling(brush, one, colours);
  brush.strokeStyle = running ? colours.ink : coat.edge;
  brush.lineWidth = running ? 2.5 : 1.5;
  // Dashes cost most of a crowded picture's time, and nobody sees them round a sliver.
  if (one.layer === 'ahead' && one.width > 7) brush.setLineDash([4, 2.5]);
  brush.strokeRect(one.x, one.y, one.width, one.height);
  brush.setLineDash([]);
  words(brush, one, coat, scene, colours);
  const label = one.activity.label;
  if (one.layer === 'ahead' && label !== null && scene.pinned.has(label)) pin(brush, one, colours);
}

/** A pin: a filled triangle that points at the block's start. */
function pin(brush: Brush, one: Block, colours: Palette): void {
  brush.fillStyle = colours.ink;
  brush.beginPath();
  brush.moveTo(one.x - 6, one.y - 1);
  brush.lineTo(one.x + 6, one.y - 1);
  brush.lineTo(one.x, one.y + 10);
  brush.closePath();
  brush.fill();
}

function between(brush: Brush, scene: Scene, colours: Palette): void {
  brush.strokeStyle = colours.lineStrong;
  brush.fillStyle = colours.quiet;
  brush.lineWidth = 1.2;
  brush.font = `400 11px ${colours.font}`;
  brush.textAlign = 'center';
  for (const wait of scene.waits) {
    const [from, to] = wait.x + wait.width < scene.sight.from || wait.x > scene.sight.to ? [wait.x, wait.x + wait.width] : [Math.max(scene.sight.from, wait.x), Math.min(scene.sight.to, wait.x + wait.width)];
    const half = wait.words ? brush.measureText(wait.words).width / 2 + 5 : 0;
    const middle = (from + to) / 2;
    brush.setLineDash([2, 4]);
    brush.beginPath();
    for (const [a, b] of half && to - from > 2 * half + 8 ? [[from + 3, middle - half], [middle + half, to - 3]] : [[from + 3, to - 3]]) {
      brush.moveTo(a ?? 0, wait.y);
      brush.lineTo(b ?? 0, wait.y);
    }
    brush.stroke();
    brush.setLineDash([]);
    if (half && to - from > 2 * half + 8) brush.fillText(wait.words, middle, wait.y + 4);
  }
  brush.strokeStyle = colours.quiet;
  brush.lineWidth = 1.5;
  for (const link of scene.links) {
    const bend = Math.max(14, (link.x2 - link.x1) / 2);
    brush.beginPath();
    brush.moveTo(link.x1, link.y1);
    brush.bezierCurveTo(link.x1 + bend, link.y1, link.x2 - bend, link.y2, link.x2, link.y2);
    brush.stroke();
    brush.beginPath();
    brush.arc(link.x2, link.y2, 3, 0, 7);
    brush.stroke();
  }
}

function moments(brush: Brush, scene: Scene, colours: Palette): void {
  const { frame, width } = scene;
  brush.textAlign = 'right';
  const taken: [number, number][] = [[scene.flag.from, scene.flag.to]]; // of the rail, by words
  for (const mark of scene.marks) {
    const x = xOf(scene.view, width, mark.at);
    if (x < -4 || x > width + 4) continue;
    const colour = mark.kind === 'gate' ? colours.ink : colours.wrong;
    brush.strokeStyle = colour;
    brush.lineWidth = 2;
    brush.setLineDash(mark.kind === 'gate' ? [2, 3] : [7, 4]);
    brush.beginPath();
    brush.moveTo(x, 0);
    brush.lineTo(x, frame.height);
    brush.stroke();
    brush.setLineDash([]);
    if (mark.kind === 'gate') {
      brush.fillStyle = colour;
      brush.beginPath();
      brush.moveTo(x, frame.railY + 18);
      brush.lineTo(x + 9, frame.railY + 29);
      brush.lineTo(x, frame.railY + 40);
      brush.lineTo(x - 9, frame.railY + 29);
      brush.closePath();
      brush.fill();
    }
    brush.font = `700 12px ${colours.font}`;
    const y = frame.railY + 34;
    const left = x - (mark.kind === 'gate' ? 13 : 4);
    const from = left - brush.measureText(mark.words).width - 3;
    // Words whose sign lies beyond the edge of the screen would be cut there.
    if (left > scene.sight.to || taken.some(([a, b]) => from < b && left + 2 > a)) {
      if (mark.kind === 'gate') taken.push([x - 10, x + 10]);
      continue;
    } // the sign alone says it; the table has all words
    taken.push([from, x + (mark.kind === 'gate' ? 10 : 2)]);
    brush.fillStyle = colours.sheet;
    brush.fillRect(from, frame.railY + 18, left + 2 - from, 21);
    brush.fillStyle = colour;
    brush.fillText(mark.words, left, y);
  }
  // The hours last, where nothing else is written.
  brush.fillStyle = colours.ink;
  brush.font = `600 13px ${colours.font}`;
  brush.textAlign = 'center';
  for (const tick of scene.ticks) {
    const x = xOf(scene.view, width, tick.at);
    if (!taken.slice(1).some(([a, b]) => x + 22 > a && x - 22 < b)) brush.fillText(tick.label, x, frame.railY + 34);
  }
  for (const place of scene.broken) {
    const row = frame.rows.find((one) => one.lane === place.lane);
    const x = xOf(scene.view, width, place.at);
    if (!row || x < -8 || x > width + 8) continue;
    brush.strokeStyle = colours.sheet;
    brush.lineWidth = 5;
    cross(brush, x, row.y + row.height - 9);
    brush.strokeStyle = colours.wrong;
    brush.lineWidth = 3;
    cross(brush, x, row.y + row.height - 9);
  }
}
function cross(brush: Brush, x: number, y: number): void {
  brush.beginPath();
  brush.moveTo(x - 5, y - 5);
  brush.lineTo(x + 5, y + 5);
  brush.moveTo(x + 5, y - 5);
  brush.lineTo(x - 5, y + 5);
  brush.stroke();
}

export function paint(brush: Brush, scene: Scene, colours: Palette): void {
  written = '';
  brush.lineJoin = 'round';
  ground(brush, scene, colours);
  rail(brush, scene, colours);
  between(brush, scene, colours);
  brush.textAlign = 'left';
  written = '';
  for (const one of scene.blocks) block(brush, one, scene, colours);
  moments(brush, scene, colours);
  const picked = scene.blocks.find((one) => one.key === scene.picked);
  if (picked) {
    brush.strokeStyle = colours.focus;
    brush.lineWidth = 3;
    brush.strokeRect(picked.x, picked.y, picked.width, picked.height);
  }
}
