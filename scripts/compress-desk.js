// Lays a compressed copy beside each text of the desk, once, so that serving it costs nothing.
const { readdirSync, readFileSync, writeFileSync } = require('node:fs');
const { join } = require('node:path');
const { brotliCompressSync, constants, gzipSync } = require('node:zlib');

const FOLDER = 'dist/desk';
const quality = { params: { [constants.BROTLI_PARAM_QUALITY]: constants.BROTLI_MAX_QUALITY } };

for (const entry of readdirSync(FOLDER, { recursive: true })) {
  if (!/\.(js|css|html|svg)$/.test(entry)) continue;
  const text = readFileSync(join(FOLDER, entry));
  writeFileSync(join(FOLDER, `${entry}.br`), brotliCompressSync(text, quality));
  writeFileSync(join(FOLDER, `${entry}.gz`), gzipSync(text, { level: 9 }));
}
