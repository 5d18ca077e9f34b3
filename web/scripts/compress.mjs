// Puts a .gz beside every built file that gains by it; the server embeds both.
import { readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';

function* files(folder) {
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) yield* files(path);
    else yield path;
  }
}

const dist = new URL('../dist', import.meta.url).pathname;
for (const path of files(dist)) {
  if (path.endsWith('.gz')) {
    rmSync(path);
    continue;
  }
  const content = readFileSync(path);
  const packed = gzipSync(content, { level: 9 });
  if (packed.length < content.length * 0.9) writeFileSync(`${path}.gz`, packed);
}
