import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { ROOT } from './source-files';

interface LintMessage {
  ruleId: string | null;
  message: string;
  line: number;
}

// typed lint knows only files that exist, so each snippet takes the place of one
const IN_THE_CORE = 'src/core/shared/assert.ts';
const OUTSIDE = 'test/architecture/source-files.ts';

const IMPORTS = "import { DateTime } from 'luxon';";
const BANNED: [string, string, RegExp][] = [
  ['a clock: new Date()', 'export const a = new Date();', /no clock/],
  ['a clock: Date.now()', 'export const b = Date.now();', /no clock/],
  ['a clock: DateTime.now()', 'export const c = DateTime.now();', /no clock/],
  ['a clock: DateTime.utc()', 'export const d = DateTime.utc();', /no clock/],
  ['a clock: DateTime.local()', 'export const e = DateTime.local();', /no clock/],
  ['a clock: performance', 'export const f = performance.now();', /'performance'/],
  ['dice: Math.random()', 'export const g = Math.random();', /no dice/],
  ['dice: crypto', 'export const h = crypto.randomUUID();', /'crypto'/],
  ['the process', 'export const i = process.env.TZ;', /'process'/],
  ['a timer: setTimeout', 'setTimeout(() => undefined, 1);', /'setTimeout'/],
  ['a timer: setInterval', 'setInterval(() => undefined, 1);', /'setInterval'/],
  ['a timer: setImmediate', 'setImmediate(() => undefined);', /'setImmediate'/],
  ['the network', "export const j = fetch('http://localhost');", /'fetch'/],
  ['an async function', 'export async function k() { return Promise.resolve(1); }', /synchronous/],
  ['an async arrow', 'export const l = async () => Promise.resolve(1);', /synchronous/],
  ['an await', 'export const m = await Promise.resolve(1);', /synchronous/],
];

const ALLOWED = `export function dayOf(instant: number): string {
  return new Date(instant).toISOString().slice(0, 10) + String(Math.max(1, 2));
}
`;

// one statement a line, so that a message is known by its line
const ALL_BANNED = [IMPORTS, ...BANNED.map(([, statement]) => statement)].join('\n');
const [ofAllowed = [], inTheCore = [], outside = []] = lint([
  { path: IN_THE_CORE, text: ALLOWED },
  { path: IN_THE_CORE, text: ALL_BANNED },
  { path: OUTSIDE, text: ALL_BANNED },
]);
const bans = (messages: LintMessage[]) =>
  messages.filter(({ ruleId }) => ruleId === 'no-restricted-syntax' || ruleId === 'no-restricted-globals');

function lint(snippets: { path: string; text: string }[]): LintMessage[][] {
  const output = execFileSync(process.execPath, [join(__dirname, 'lint-snippets.js')], {
    cwd: ROOT,
    encoding: 'utf8',
    input: JSON.stringify(snippets.map(({ path, text }) => ({ path: join(ROOT, path), text }))),
  });
  return JSON.parse(output) as LintMessage[][];
}

test('arithmetic on a given instant is allowed in the core', () => {
  expect(ofAllowed).toEqual([]);
});

test.each(BANNED.map(([what, , message], index) => ({ what, message, line: index + 2 })))(
  'banned in the core: $what',
  ({ message, line }) => {
    const found = bans(inTheCore).filter((each) => each.line === line);
    expect(found.map((each) => each.message)).toEqual([expect.stringMatching(message)]);
  },
);

test('outside the core the same is allowed', () => {
  expect(bans(inTheCore)).toHaveLength(BANNED.length);
  expect(bans(outside)).toEqual([]);
});
