// The public page: a bundle of its own, so that nothing of the console can be in it.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

export default defineConfig({
  root: fileURLToPath(new URL('public-page', import.meta.url)),
  base: '/public/',
  plugins: [svelte({ configFile: fileURLToPath(new URL('svelte.config.js', import.meta.url)) })],
  publicDir: false,
  build: {
    target: 'es2022',
    outDir: fileURLToPath(new URL('dist/public', import.meta.url)),
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    chunkSizeWarningLimit: 600, // the map in space is loaded later, when it is shown
  },
});
