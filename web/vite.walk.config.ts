// The walk-through's player as one script and one style sheet, which `handrail walk-through` puts into its page.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

export default defineConfig({
  plugins: [svelte()],
  publicDir: false,
  build: {
    target: 'es2022',
    outDir: 'dist/walk',
    cssCodeSplit: false,
    modulePreload: false,
    reportCompressedSize: false,
    chunkSizeWarningLimit: 1000, // three is part of it: the page may ask nobody for a second file
    rollupOptions: {
      input: 'src/walk/page.ts',
      output: { format: 'iife', inlineDynamicImports: true, entryFileNames: 'walk.js', assetFileNames: 'walk.[ext]' },
    },
  },
});
