import { defineConfig } from 'vite';

// The pages of the desk: static files that the API serves under /desk/, from itself alone.
export default defineConfig({
  root: 'src/desk',
  base: '/desk/',
  build: {
    outDir: '../../dist/desk',
    emptyOutDir: true,
    target: 'es2023',
    // nothing in data: addresses, so that the content security policy can refuse them
    assetsInlineLimit: 0,
    // the charts, which are loaded when one is drawn
    chunkSizeWarningLimit: 600,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      // libraries mark what runs in browsers only; here everything does
      onLog: (level, log, write) => {
        if (log.code !== 'MODULE_LEVEL_DIRECTIVE') write(level, log);
      },
    },
  },
  server: { proxy: { '/v1': 'http://127.0.0.1:3000' } },
});
