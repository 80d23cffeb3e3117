import { testBreaches } from './expectation-scan';
import { nameBreaches } from './name-scan';
import { relationsIn } from './relation-scan';
import { repositoryBreaches } from './repository-scan';
import { filePaths, FIXTURES, ROOT, sourceFiles } from './source-files';
import { transactionsOpenedIn } from './transaction-scan';

const outsideDatabase = (root: string) =>
  sourceFiles(root, ['src'], '.ts').filter(({ path }) => !path.startsWith('src/platform/database/'));

describe('entities know each other by id only', () => {
  test('in the project', () => {
    expect(relationsIn(sourceFiles(ROOT, ['src'], '.ts'))).toEqual([]);
  });
  test('in the fixture', () => {
    expect(relationsIn(sourceFiles(FIXTURES, ['src'], '.entity.ts'))).toEqual([
      "src/modules/vehicles/vehicle.entity.ts:1 import { Column, Entity, JoinColumn, ManyToOne, PrimaryColumn } from 'typeorm';",
      "src/modules/vehicles/vehicle.entity.ts:11 @ManyToOne('Depot', { eager: true })",
      "src/modules/vehicles/vehicle.entity.ts:12 @JoinColumn({ name: 'depot_id' })",
    ]);
  });
});

describe('repositories work inside the transaction that they are handed', () => {
  test('in the project', () => {
    expect(repositoryBreaches(sourceFiles(ROOT, ['src'], '.repository.ts'))).toEqual([]);
  });
  test('in the fixture', () => {
    expect(repositoryBreaches(sourceFiles(FIXTURES, ['src'], 'vehicles.repository.ts'))).toEqual([
      'src/modules/vehicles/vehicles.repository.ts constructor holds DataSource',
      'src/modules/vehicles/vehicles.repository.ts withoutTransaction does not take the transaction first',
      'src/modules/vehicles/vehicles.repository.ts withOptionalTransaction takes the transaction optionally',
      'src/modules/vehicles/vehicles.repository.ts withDefaultTransaction takes the transaction optionally',
    ]);
  });
});

describe('transactions are opened in platform/database only, for services', () => {
  test('in the project', () => {
    expect(transactionsOpenedIn(outsideDatabase(ROOT))).toEqual([]);
  });
  test('in the fixture', () => {
    expect(transactionsOpenedIn(outsideDatabase(FIXTURES))).toEqual([
      "src/modules/vehicles/vehicles.repository.ts:28 return tx.transaction((inner) => inner.query('SELECT 1'));",
    ]);
  });
});

describe('names say what is in a file', () => {
  test('in the project', () => {
    const paths = filePaths(ROOT, ['src', 'test', 'migrations', 'scripts']).filter((path) =>
      /\.[cm]?[jt]s$/.test(path),
    );
    expect(paths.length).toBeGreaterThan(20);
    expect(nameBreaches(paths)).toEqual([]);
  });
  test('in the fixture', () => {
    expect(nameBreaches(filePaths(FIXTURES, ['src']))).toEqual([
      'says nothing: src/modules/vehicles/common/VehicleThing.ts',
      'not kebab-case: src/modules/vehicles/common/VehicleThing.ts',
      'says nothing: src/modules/vehicles/date-utils.ts',
      'barrel: src/modules/vehicles/index.ts',
    ]);
  });
});

describe('every test can fail', () => {
  test('in the project', () => {
    const tests = sourceFiles(ROOT, ['test'], '.test.ts');
    expect(tests.length).toBeGreaterThan(5);
    expect(testBreaches(tests)).toEqual([]);
  });
  test('in the fixture', () => {
    const breaches = testBreaches(sourceFiles(FIXTURES, ['test'], '.test.ts.txt'));
    expect(breaches.map((breach) => breach.replace(/^\S+ /, ''))).toEqual([
      "'only calls' expects nothing",
      "'only calls for each' expects nothing",
      "'is empty' expects nothing",
      "'names expect without calling it' expects nothing",
      "'is skipped' is marked skip",
      "'leaves the others out' is marked only",
      "'is not written' is marked todo",
    ]);
  });
});
