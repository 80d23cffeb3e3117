// node --require this-file script.ts: for tests that need the sources in a process of their own.
const { readFileSync } = require('node:fs');
const { transformSync } = require('@swc/core');

require.extensions['.ts'] = (module, filename) => {
  const { code } = transformSync(readFileSync(filename, 'utf8'), {
    filename,
    configFile: false,
    swcrc: false,
    sourceMaps: 'inline',
    jsc: {
      target: 'es2023',
      parser: { syntax: 'typescript', decorators: true },
      transform: { legacyDecorator: true, decoratorMetadata: true },
      keepClassNames: true,
    },
    module: { type: 'commonjs' },
  });
  module._compile(code, filename);
};
