import { readFileSync } from 'node:fs';
import { defineConfig, transformWithOxc, type Plugin } from 'vite';

const WORKER = 'src/desk/service-worker.ts';

// one plain script under a name that stays: browsers look for a new worker under the name that they know
const serviceWorker: Plugin = {
  name: 'service-worker',
  apply: 'build',
  async generateBundle() {
    const { code } = await transformWithOxc(readFileSync(WORKER, 'utf8'), WORKER);
    this.emitFile({ type: 'asset', fileName: 'service-worker.js', source: code });
  },
};

// The pages of the desk: static files that the API serves under /desk/, from itself alone.
export default defineConfig({
  root: 'src/desk',
  base: '/desk/',
  plugins: [serviceWorker],
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
      checks: { pluginTimings: false },
      // libraries mark what runs in browsers only; here everything does
      onLog: (level, log, write) => {
        if (log.code !== 'MODULE_LEVEL_DIRECTIVE') write(level, log);
      },
    },
  },
  server: { proxy: { '/v1': 'http://127.0.0.1:3000' } },
});
