import { createHash } from 'node:crypto';
import { Client, type QueryConfig } from 'pg';

type Query = (config: string | QueryConfig, values?: unknown[], callback?: unknown) => unknown;

const names = new Map<string, string>();
const KEPT_AT_MOST = 2_000;

/**
 * A connection that has each parametrised statement planned once and kept by the server, not planned again at
 * every call: half of the time of a short transaction goes into planning otherwise.
 */
export class PreparingClient extends Client {
  constructor(...parameters: ConstructorParameters<typeof Client>) {
    super(...parameters);
    const query = this.query.bind(this) as Query;
    const prepared: Query = (config, values, callback) =>
      typeof config === 'string' && Array.isArray(values) && values.length > 0
        ? query({ name: nameOf(config), text: config, values }, undefined, callback)
        : query(config, values, callback);
    this.query = prepared as typeof this.query;
  }
}

function nameOf(text: string): string {
  let name = names.get(text);
  if (name === undefined) {
    if (names.size >= KEPT_AT_MOST) names.clear();
    name = createHash('sha256').update(text).digest('base64url').slice(0, 24);
    names.set(text, name);
  }
  return name;
}
