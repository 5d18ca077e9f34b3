// What the tests of map, walk-through and public page share: browsers with and without WebGL, axe, pictures.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { AxeBuilder, chromium, openPage, shots } from './harness.mjs';

const quiet = ['--headless', '--no-sandbox', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];
const start = (args) => chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: [...quiet, ...args] });
/** WebGL drawn by software, the same on every machine. */
export const launchWithSpace = () => start(['--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader']);
/** A browser that has no WebGL at all. */
export const launchFlat = () => start(['--disable-gpu', '--disable-3d-apis']);

export async function noSeriousFinding(page, where) {
  const { violations } = await new AxeBuilder({ page }).analyze();
  const serious = violations.filter((one) => one.impact === 'serious' || one.impact === 'critical');
  const said = serious.map((one) => `${one.id}: ${one.help} (${one.nodes.map((node) => `${node.target.join(' ')} ${node.any[0]?.message ?? ''}`).join('; ')})`);
  assert.deepEqual(said, [], where);
}
export const sizes = [['small', 1280, 720], ['large', 1920, 1080], ['phone', 390, 844]];
export const keep = (page, name) => page.screenshot({ path: join(shots, `${name}.png`) });
export const drawnAs = async (page, how) => page.locator(`[data-testid=map][data-drawn=${how}]`).waitFor();

/** How many different colours an element shows: a blank picture has a handful, shaded solids have many. */
export async function coloursOf(page, locator) {
  const png = (await locator.screenshot()).toString('base64');
  return page.evaluate(async (data) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [image.width, image.height];
    const paper = canvas.getContext('2d');
    paper.drawImage(image, 0, 0);
    const pixels = paper.getImageData(0, 0, image.width, image.height).data;
    const seen = new Set();
    for (let i = 0; i < pixels.length; i += 4) seen.add((pixels[i] << 16) | (pixels[i + 1] << 8) | pixels[i + 2]);
    return seen.size;
  }, png);
}
/** True when nothing has to be pushed aside to be read. */
export const fitsAcross = (page) => page.evaluate(() => document.documentElement.scrollWidth <= document.documentElement.clientWidth);
export { openPage };
