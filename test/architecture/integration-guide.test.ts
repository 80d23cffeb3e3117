import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { problemTable } from '../../src/platform/http/problem-table';
import { readContract } from '../support/contract-check';

const guide = readFileSync('docs/integration.md', 'utf8');

it('says of every kind of problem, with its status, what to do', () => {
  const rows = [...guide.matchAll(/^\| `([a-z-]+)` +\| (\d{3}) +\| (.+?) *\|$/gm)];
  const told = rows.map(([, code = '', status = '', action = '']) => [
    code,
    Number(status),
    action.length > 5,
  ]);
  const known = Object.entries(problemTable).map(([code, { status }]) => [code, status, true]);
  expect(told.toSorted()).toEqual(known.toSorted());
});

it('names operations that the contract has', () => {
  const { paths } = readContract();
  const named = [...guide.matchAll(/`(GET|POST|PATCH|PUT|DELETE) (\/v1\/[^`?\s]+)/g)].map(
    ([, method = '', path = '']) => [method, path] as const,
  );
  expect(named.length).toBeGreaterThan(8);
  const unknown = named.filter(([method, path]) => paths[path]?.[method.toLowerCase()] === undefined);
  expect(unknown).toEqual([]);
});

it('names files of the example that are there', () => {
  const files = [...guide.matchAll(/`([a-z-]+\.ts)`/g)].map(([, file = '']) => file);
  expect(files.length).toBeGreaterThan(5);
  expect(files.filter((file) => !existsSync(join('examples/integration', file)))).toEqual([]);
});
