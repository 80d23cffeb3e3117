import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { Spool, SpoolFull } from '../../../src/platform/exports/spool';

const folders = (): string[] => readdirSync(tmpdir()).filter((name) => name.startsWith('precharge-export-'));

async function textOf(spool: Spool): Promise<string> {
  const pieces: Buffer[] = [];
  for await (const piece of spool.read(60_000)) pieces.push(piece as Buffer);
  return Buffer.concat(pieces).toString();
}

test('gives back what was written, with its length and its digest, and leaves no file', async () => {
  const before = folders();
  const spool = await Spool.open(10_000_000);
  const text = 'Zoë, 泵\n'.repeat(50_000);
  for (let at = 0; at < text.length; at += 70_001) await spool.write(text.slice(at, at + 70_001));
  expect(folders()).toEqual(before);
  expect(spool.bytes).toBe(Buffer.byteLength(text));
  expect(spool.sha256()).toBe(createHash('sha256').update(text).digest('base64'));
  expect(await textOf(spool)).toBe(text);
});

test('holds what it may, and not a byte more', async () => {
  const spool = await Spool.open(6);
  await spool.write('äöü');
  await expect(spool.write('a')).rejects.toBeInstanceOf(SpoolFull);
  expect(spool.bytes).toBe(6);
  expect(await textOf(spool)).toBe('äöü');
});

test('gives a reader up that takes nothing, and none that takes something now and then', async () => {
  const spool = await Spool.open(1_000_000);
  await spool.write('x'.repeat(500_000));
  jest.useFakeTimers({ doNotFake: ['nextTick', 'setImmediate', 'queueMicrotask'] });
  try {
    const stream = spool.read(1_000);
    const ended = new Promise<string>((resolve) =>
      stream.once('error', ({ message }: Error) => resolve(message)),
    );
    const piece = (): Promise<void> =>
      new Promise((resolve) => {
        stream.once('readable', () => {
          stream.read();
          resolve();
        });
      });
    for (let taken = 0; taken < 3; taken++) {
      await piece();
      jest.advanceTimersByTime(1_000);
      expect(stream.destroyed).toBe(false);
    }
    jest.advanceTimersByTime(3_000);
    expect(await ended).toBe('nobody reads the export any more');
    expect(stream.destroyed).toBe(true);
    expect(jest.getTimerCount()).toBe(0);
  } finally {
    jest.useRealTimers();
  }
});
