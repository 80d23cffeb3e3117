// The committed contract must be what the code says, lint clean, and take nothing away from what was released.
const { execFileSync } = require('node:child_process');
const { existsSync, mkdtempSync, readFileSync, rmSync } = require('node:fs');
const { tmpdir } = require('node:os');
const { join } = require('node:path');

const committed = 'openapi/openapi.json';
const released = 'openapi/released.json';
const run = (command, ...args) =>
  execFileSync(join('node_modules/.bin', command), args, { stdio: 'inherit' });

const folder = mkdtempSync(join(tmpdir(), 'precharge-contract-'));
const exported = join(folder, 'openapi.json');
try {
  execFileSync(process.execPath, ['dist/src/cli/export-openapi.js', exported], { stdio: 'inherit' });
  if (!existsSync(committed) || readFileSync(exported, 'utf8') !== readFileSync(committed, 'utf8')) {
    console.error(
      `${committed} is not what the code says: run "npm run openapi:export" and look at the difference.`,
    );
    process.exit(1);
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
run('redocly', 'lint', committed);
run('spectral', 'lint', committed, '--fail-severity=hint');
if (existsSync(released)) run('redocly', 'diff', released, committed);
