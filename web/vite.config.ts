import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [svelte()],
  build: {
    target: 'es2022',
    // The page's Content-Security-Policy allows nothing inline, so small files stay files.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    chunkSizeWarningLimit: 600, // the map in space is loaded later, when it is shown
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8630' } },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
});
