import { defineConfig } from 'vite'

// The box that can be turned, as one script for pages that stand alone (knobwright share).
export default defineConfig({
  build: {
    outDir: 'dist/share',
    emptyOutDir: true,
    target: 'es2022',
    chunkSizeWarningLimit: 700,
    lib: { entry: 'src/share/box3d.ts', formats: ['iife'], name: 'box3d', fileName: () => 'box3d.js' },
  },
})
