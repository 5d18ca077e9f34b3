// How long a frame of the map takes when a processor draws it in place of a graphics card, and how large the pages are.
//   handrail walk-through demo/larkspur/outing.toml --out /tmp/walk.html && node bench/map.mjs /tmp/walk.html
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { cpus } from 'node:os';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';

const root = fileURLToPath(new URL('../', import.meta.url));
const { chromium } = createRequire(new URL('../web/package.json', import.meta.url))('playwright-core');
const walk = process.argv[2];
if (!walk || !existsSync(walk)) {
  console.error('Say which walk-through to play: node bench/map.mjs walk-through.html');
  process.exit(2);
}
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--headless', '--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

/** Times between frames over some seconds while `act` goes on, sorted, in ms. */
const frames = (page, ms) =>
  page.evaluate(
    (length) =>
      new Promise((resolve) => {
        const all = [];
        const first = performance.now();
        let before = first;
        const step = (now) => {
          all.push(now - before);
          before = now;
          if (now - first < length) requestAnimationFrame(step);
          else resolve(all.slice(2).sort((a, b) => a - b));
        };
        requestAnimationFrame(step);
      }),
    ms,
  );
const line = (what, times) => {
  const at = (share) => times[Math.min(times.length - 1, Math.floor(share * times.length))].toFixed(1);
  console.log(`| ${what} | ${at(0.5)} | ${at(0.99)} | ${times.length} |`);
};

console.log(`${cpus()[0].model}, ${cpus().length} cores, ${await browser.version()}, WebGL by software\n`);
console.log('| while | median ms between frames | p99 | frames in 5 s |\n| --- | --- | --- | --- |');
for (const [width, height] of [[1280, 720], [1920, 1080]])
  for (const drawn of ['space', 'flat']) {
    const page = await browser.newPage({ viewport: { width, height } });
    await page.goto(pathToFileURL(walk).href);
    await page.locator('[data-drawn=space]').waitFor();
    if (drawn === 'flat') await page.getByRole('button', { name: '3-D' }).click();
    await page.getByLabel('speed').selectOption('600');
    await page.getByRole('button', { name: 'Play' }).click();
    line(`playing at 600×, ${drawn}, ${width}×${height}`, await frames(page, 5000));
    if (drawn === 'space') {
      await page.getByTestId('map').focus();
      await page.evaluate(() => {
        const map = document.querySelector('[data-testid=map]');
        const turn = () => { map.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true, cancelable: true })); requestAnimationFrame(turn); };
        requestAnimationFrame(turn);
      });
      line(`playing and turning, ${width}×${height}`, await frames(page, 5000));
    }
    await page.close();
  }
await browser.close();

const packed = (file) => (gzipSync(readFileSync(file), { level: 9 }).length / 1000).toFixed(0);
console.log('\n| file | kB gzipped |\n| --- | --- |');
for (const [name, folder] of [['console', 'web/dist/assets'], ['public page', 'web/dist/public/assets'], ['walk-through’s player', 'web/dist/walk']])
  for (const file of readdirSync(`${root}${folder}`).filter((one) => one.endsWith('.js')))
    console.log(`| ${name}: ${file.replace(/-[\w-]{8}\.js$/, '.js')} | ${packed(`${root}${folder}/${file}`)} |`);
console.log(`| a walk-through of the demo | ${packed(walk)} (${(statSync(walk).size / 1000).toFixed(0)} as it lies) |`);
