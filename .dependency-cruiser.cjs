// Who may import whom. Checked by test/architecture/dependencies.test.ts, which also proves on fixtures that
// every rule bites. Paths are relative to the directory that holds src and migrations.

const TOPICS = {
  // topic: what it may import besides itself and core/shared
  hydraulics: [],
  gas: [],
  precharge: ['hydraulics/', 'gas/'],
  usage: [],
  // of the layout only the recorded facts, not what follows from them
  due: ['usage/', 'precharge/', 'hydraulics/hydraulic-layout\\.ts$'],
  'working-time': [],
  booking: [],
  visit: ['due/', 'working-time/'],
  tests: ['hydraulics/', 'gas/', 'precharge/', 'due/'],
  'job-sheet': ['hydraulics/', 'due/', 'visit/'],
  demand: ['due/'],
  'downtime-plan': ['due/', 'working-time/'],
};

const npmPackage = (name) => `(^|/)node_modules/${name}/`;
const error = (name, comment, from, to) => ({ name, severity: 'error', comment, from, to });

module.exports = {
  forbidden: [
    error(
      'core-imports-only-core-and-luxon',
      'the core is pure: no framework, no I/O, no platform',
      { path: '^src/core/' },
      { pathNot: ['^src/core/', npmPackage('(@types/)?luxon')] },
    ),
    error(
      'core-shared-imports-no-topic',
      'every topic may import core/shared, never the other way',
      { path: '^src/core/shared/' },
      { path: '^src/core/', pathNot: '^src/core/shared/' },
    ),
    error(
      'core-topic-is-known',
      'a new topic of the core gets its place in the order first, in .dependency-cruiser.cjs',
      { path: '^src/core/', pathNot: `^src/core/(shared|${Object.keys(TOPICS).join('|')})/` },
      {},
    ),
    ...Object.entries(TOPICS).map(([topic, before]) =>
      error(
        `core-${topic}-imports-only-what-comes-before`,
        'topics follow the data: hydraulics, gas → precharge; usage, precharge → due → demand, downtime-plan; working-time → downtime-plan',
        { path: `^src/core/${topic}/` },
        {
          path: '^src/core/',
          pathNot: [topic + '/', 'shared/', ...before].map((each) => `^src/core/${each}`),
        },
      ),
    ),
    error('no-cycles', 'no cycles anywhere', {}, { circular: true }),

    error(
      'controller-only-delegates',
      'a controller imports its own service, its own DTOs and the platform',
      { path: '^src/modules/([^/]+)/.*\\.controller\\.ts$' },
      {
        path: '^(src|migrations)/',
        pathNot: ['^src/modules/$1/[^/]+\\.service\\.ts$', '^src/modules/$1/dto/', '^src/platform/'],
      },
    ),
    error(
      'repository-is-private-to-its-module',
      "nobody imports another module's repository, not even as a type",
      { path: '^src/modules/([^/]+)/' },
      { path: '^src/modules/.*\\.repository\\.ts$', pathNot: '^src/modules/$1/' },
    ),
    error(
      'repository-is-used-by-services-only',
      'a repository is reached through the services of its module',
      { path: '^src/(?!modules/)' },
      { path: '\\.repository\\.ts$', pathNot: '^src/platform/' },
    ),
    error(
      'module-uses-only-services-of-others',
      'another module is used through its services; types may be named',
      { path: '^src/modules/([^/]+)/', pathNot: '\\.(module|controller)\\.ts$' },
      {
        path: '^src/modules/',
        pathNot: ['^src/modules/$1/', '\\.service\\.ts$', '\\.repository\\.ts$'],
        dependencyTypesNot: ['type-only'],
      },
    ),
    error(
      'nest-module-imports-only-nest-modules-of-others',
      'a *.module.ts joins modules, nothing else of theirs',
      { path: '^src/modules/([^/]+)/.*\\.module\\.ts$' },
      { path: '^src/modules/', pathNot: ['^src/modules/$1/', '\\.module\\.ts$'] },
    ),
    error(
      'repository-and-entity-look-down-only',
      'data access knows no service and no controller',
      { path: '\\.(repository|entity)\\.ts$' },
      { path: '\\.(service|controller|module)\\.ts$' },
    ),
    error(
      'platform-knows-no-module',
      'the platform serves every module and depends on none',
      { path: '^src/platform/' },
      { path: '^src/(modules|cli|desk)/' },
    ),

    error(
      'desk-knows-the-api-alone',
      'the pages use the public API; of the code they may share the pure core',
      { path: '^src/desk/' },
      { path: '^(src|migrations|test)/', pathNot: '^src/(desk|core)/' },
    ),
    error(
      'nobody-knows-the-desk',
      'the pages are built by themselves and served as files',
      { path: '^src/(?!desk/)' },
      { path: '^src/desk/' },
    ),

    error(
      'typeorm-only-where-data-are-stored',
      'repositories, entities, platform/database and migrations',
      { pathNot: ['\\.repository\\.ts$', '\\.entity\\.ts$', '^src/platform/database/', '^migrations/'] },
      { path: npmPackage('typeorm') },
    ),
    error(
      'nest-typeorm-only-where-modules-are-joined',
      '*.module.ts and platform/database',
      { pathNot: ['\\.module\\.ts$', '^src/platform/database/'] },
      { path: npmPackage('@nestjs/typeorm') },
    ),
    error(
      'postgres-driver-only-where-data-are-stored',
      'repositories and the platform',
      { path: '^src/', pathNot: ['\\.repository\\.ts$', '^src/platform/'] },
      { path: npmPackage('(@types/)?pg') },
    ),
    error(
      'only-services-open-transactions',
      'everything else is handed the transaction; naming its type is fine',
      { path: '^src/', pathNot: ['\\.service\\.ts$', '^src/platform/'] },
      { path: '^src/platform/database/transactions\\.ts$', dependencyTypesNot: ['type-only'] },
    ),

    error(
      'migrations-do-not-import-src',
      'a migration must mean the same for ever',
      { path: '^migrations/' },
      { path: '^src/' },
    ),
    error(
      'src-does-not-import-migrations',
      'the code knows the schema, not how it came to be',
      { path: '^src/' },
      { path: '^migrations/' },
    ),
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    // imports of types count as well
    tsPreCompilationDeps: 'specify',
    enhancedResolveOptions: {
      extensions: ['.ts', '.tsx', '.js', '.json'],
      conditionNames: ['require', 'node', 'default'],
    },
  },
};
