// Compiles src and migrations into dist with the OpenAPI plugin, which plain tsc cannot load.
const ts = require('typescript');
const { before } = require('@nestjs/swagger/plugin');
const { rmSync } = require('node:fs');

// the pages of the desk, beside them, are built by Vite
for (const folder of ['dist/src', 'dist/migrations']) rmSync(folder, { recursive: true, force: true });
const { options, fileNames, errors } = ts.getParsedCommandLineOfConfigFile(
  'tsconfig.build.json',
  {},
  { ...ts.sys, onUnRecoverableConfigFileDiagnostic: console.error },
);
const program = ts.createProgram(fileNames, options);
const plugin = before(
  { dtoFileNameSuffix: ['.dto.ts'], introspectComments: true, classValidatorShim: true },
  program,
);
const emitted = program.emit(undefined, undefined, undefined, false, { before: [plugin] });
const diagnostics = [...errors, ...ts.getPreEmitDiagnostics(program), ...emitted.diagnostics];
if (diagnostics.length > 0) {
  console.error(
    ts.formatDiagnosticsWithColorAndContext(diagnostics, {
      getCurrentDirectory: () => process.cwd(),
      getCanonicalFileName: (f) => f,
      getNewLine: () => '\n',
    }),
  );
  process.exit(1);
}
