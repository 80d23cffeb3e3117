const { readdirSync, readFileSync, existsSync } = require('node:fs');
const { join } = require('node:path');

// Jest loads CommonJS only, so every ES-module package has to pass through the compiler as well.
// The list is computed: a new dependency never needs a line here.
function esModulePackages(dir = join(__dirname, 'node_modules'), scope = '') {
  const found = [];
  for (const entry of readdirSync(dir)) {
    if (entry.startsWith('.')) continue;
    if (entry.startsWith('@') && scope === '') {
      found.push(...esModulePackages(join(dir, entry), `${entry}/`));
      continue;
    }
    const manifest = join(dir, entry, 'package.json');
    if (existsSync(manifest) && JSON.parse(readFileSync(manifest, 'utf8')).type === 'module')
      found.push(scope + entry);
  }
  return found;
}

const shared = {
  testEnvironment: 'node',
  setupFiles: ['<rootDir>/test/support/seed-properties.ts'],
  transform: {
    '^.+\\.[cm]?[jt]s$': [
      '@swc/jest',
      {
        jsc: {
          target: 'es2023',
          parser: { syntax: 'typescript', decorators: true },
          // as the build does: a declared field that nobody sets must not exist
          transform: { legacyDecorator: true, decoratorMetadata: true, useDefineForClassFields: false },
          keepClassNames: true,
        },
        module: { type: 'commonjs' },
      },
    ],
  },
  transformIgnorePatterns: [`/node_modules/(?!(${esModulePackages().join('|')})/)`],
};

module.exports = {
  maxWorkers: 2,
  // the machines are slow and shared now and then; a test that hangs still ends
  testTimeout: 60_000,
  projects: [
    {
      ...shared,
      displayName: 'pure',
      testMatch: ['<rootDir>/test/{core,reference,architecture}/**/*.test.ts'],
    },
    {
      ...shared,
      displayName: 'served',
      testMatch: ['<rootDir>/test/{database,api,faults,cli,browser}/**/*.test.ts'],
      globalSetup: '<rootDir>/test/support/start-test-postgres.ts',
      globalTeardown: '<rootDir>/test/support/stop-test-postgres.ts',
    },
  ],
};
