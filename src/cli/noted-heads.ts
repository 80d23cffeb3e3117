import { createReadStream } from 'node:fs';
import { createInterface } from 'node:readline';
import { isUUID } from 'class-validator';
import type { Head } from '../modules/audit-seals/audit-chain';

interface Line {
  organisationId: string;
  position: number;
  hash: string;
}

/**
 * The heads in a file as `npm run audit:heads` writes them, one JSON object a line, by organisation.
 *
 * @throws Error that names the line that is none
 */
export async function readNotedHeads(file: string): Promise<Map<string, Head[]>> {
  const heads = new Map<string, Head[]>();
  let number = 0;
  for await (const text of createInterface({ input: createReadStream(file), crlfDelay: Infinity })) {
    number += 1;
    if (text.trim() === '') continue;
    const line = parsed(text);
    if (!isLine(line))
      throw new Error(
        `${file}, line ${number}: this is no head. Give the file as "npm run audit:heads" wrote it: ` +
          `{"organisationId": …, "position": …, "hash": …} on each line.`,
      );
    const { organisationId, position, hash } = line;
    const known = heads.get(organisationId) ?? [];
    heads.set(organisationId, [...known, { position, hash: Buffer.from(hash, 'hex') }]);
  }
  return heads;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    // told by the caller, with the number of the line
    return undefined;
  }
}

function isLine(value: unknown): value is Line {
  if (typeof value !== 'object' || value === null) return false;
  const { organisationId, position, hash } = value as Partial<Record<keyof Line, unknown>>;
  return (
    isUUID(organisationId) &&
    Number.isSafeInteger(position) &&
    Number(position) >= 0 &&
    typeof hash === 'string' &&
    /^[0-9a-f]{64}$/.test(hash)
  );
}
