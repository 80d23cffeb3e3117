import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { FIXTURES, ROOT } from './source-files';

const CONFIG = join(ROOT, '.dependency-cruiser.cjs');
const PROGRAM = join(ROOT, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs');

interface Cruise {
  summary: {
    totalCruised: number;
    violations: { from: string; to: string; rule: { name: string } }[];
  };
}

// the program exits with the number of violations, so its output is read in either case
function cruise(root: string): Cruise {
  const folders = ['src', 'migrations'].filter((folder) => existsSync(join(root, folder)));
  return JSON.parse(
    execFileSync(process.execPath, [PROGRAM, '--config', CONFIG, '--output-type', 'json', ...folders], {
      cwd: root,
      encoding: 'utf8',
      maxBuffer: 200_000_000,
    }),
  ) as Cruise;
}

const violationsIn = ({ summary }: Cruise) =>
  summary.violations
    .map(
      ({ rule, from, to }) =>
        `${rule.name}: ${from} → ${to.replace(/^.*node_modules\/((@[^/]+\/)?[^/]+)\/.*$/, '$1')}`,
    )
    .sort();

test('the project keeps every rule', () => {
  const result = cruise(ROOT);
  expect(result.summary.totalCruised).toBeGreaterThan(20);
  expect(violationsIn(result)).toEqual([]);
}, 60_000);

describe('on fixtures', () => {
  const violations = violationsIn(cruise(FIXTURES));

  test('every breach is found, and nothing that is allowed', () => {
    expect(violations).toEqual([
      'controller-only-delegates: src/modules/vehicles/vehicles.controller.ts → src/core/usage/rate.ts',
      'controller-only-delegates: src/modules/vehicles/vehicles.controller.ts → src/modules/depots/depots.service.ts',
      'controller-only-delegates: src/modules/vehicles/vehicles.controller.ts → src/modules/depots/dto/depot.dto.ts',
      'controller-only-delegates: src/modules/vehicles/vehicles.controller.ts → src/modules/vehicles/vehicles.repository.ts',
      'core-booking-imports-only-what-comes-before: src/core/booking/out-of-order.ts → src/core/usage/rate.ts',
      'core-demand-imports-only-what-comes-before: src/core/demand/out-of-order.ts → src/core/usage/rate.ts',
      'core-downtime-plan-imports-only-what-comes-before: src/core/downtime-plan/out-of-order.ts → src/core/usage/rate.ts',
      'core-due-imports-only-what-comes-before: src/core/due/asks-for-conclusions.ts → src/core/hydraulics/conclusions.ts',
      'core-gas-imports-only-what-comes-before: src/core/gas/uses-usage.ts → src/core/usage/rate.ts',
      'core-hydraulics-imports-only-what-comes-before: src/core/hydraulics/out-of-order.ts → src/core/usage/rate.ts',
      'core-imports-only-core-and-luxon: src/core/shared/reads-a-file.ts → fs',
      'core-imports-only-core-and-luxon: src/core/shared/uses-the-platform.ts → src/platform/http/header.ts',
      'core-job-sheet-imports-only-what-comes-before: src/core/job-sheet/out-of-order.ts → src/core/usage/rate.ts',
      'core-precharge-imports-only-what-comes-before: src/core/precharge/out-of-order.ts → src/core/usage/rate.ts',
      'core-shared-imports-no-topic: src/core/shared/uses-a-topic.ts → src/core/usage/rate.ts',
      'core-tests-imports-only-what-comes-before: src/core/tests/out-of-order.ts → src/core/usage/rate.ts',
      'core-topic-is-known: src/core/extras/unknown-topic.ts → src/core/shared/day.ts',
      'core-usage-imports-only-what-comes-before: src/core/usage/looks-ahead.ts → src/core/due/limit.ts',
      'core-visit-imports-only-what-comes-before: src/core/visit/out-of-order.ts → src/core/usage/rate.ts',
      'core-working-time-imports-only-what-comes-before: src/core/working-time/out-of-order.ts → src/core/usage/rate.ts',
      'desk-knows-the-api-alone: src/desk/reads-a-repository.ts → src/modules/vehicles/vehicles.repository.ts',
      'migrations-do-not-import-src: migrations/2-uses-src.ts → src/platform/http/header.ts',
      'module-uses-only-services-of-others: src/modules/vehicles/other-entity.service.ts → src/modules/depots/depot.entity.ts',
      'nest-module-imports-only-nest-modules-of-others: src/modules/vehicles/vehicles.module.ts → src/modules/depots/depots.service.ts',
      'nest-typeorm-only-where-modules-are-joined: src/platform/http/injects-typeorm.ts → @nestjs/typeorm',
      'no-cycles: src/core/shared/cycle-a.ts → src/core/shared/cycle-b.ts',
      'nobody-knows-the-desk: src/modules/vehicles/draws-a-page.ts → src/desk/reads-a-repository.ts',
      'only-services-open-transactions: src/modules/vehicles/vehicle-paths.ts → src/platform/database/transactions.ts',
      'platform-knows-no-module: src/platform/http/asks-a-module.ts → src/modules/depots/depots.service.ts',
      'postgres-driver-only-where-data-are-stored: src/modules/vehicles/vehicle-paths.ts → pg',
      'repository-and-entity-look-down-only: src/modules/vehicles/looks-up.repository.ts → src/modules/vehicles/vehicles.service.ts',
      'repository-is-private-to-its-module: src/modules/vehicles/other-repository.service.ts → src/modules/depots/depots.repository.ts',
      'repository-is-used-by-services-only: src/cli/reads-directly.ts → src/modules/depots/depots.repository.ts',
      'repository-is-used-by-services-only: src/desk/reads-a-repository.ts → src/modules/vehicles/vehicles.repository.ts',
      'src-does-not-import-migrations: src/uses-a-migration.ts → migrations/1-add-depots.ts',
      'typeorm-only-where-data-are-stored: src/platform/http/uses-typeorm.ts → typeorm',
    ]);
  });

  test('no rule is without a fixture', () => {
    const { forbidden } = createRequire(__filename)(CONFIG) as { forbidden: { name: string }[] };
    const broken = new Set(violations.map((violation) => violation.split(':')[0]));
    expect(forbidden.map((rule) => rule.name).filter((name) => !broken.has(name))).toEqual([]);
  });
});
