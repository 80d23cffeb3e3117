import { randomUUID } from 'node:crypto';
import fc from 'fast-check';
import { roles } from '../../../src/platform/security/role';
import { SESSION_COOKIE } from '../../../src/platform/security/session-cookie';
import { isForSessionsOnly, type Contract, type Operation } from '../contract-check';
import { bodySchemaOf, placesOf, schemaOf, type Place, type Schema } from '../contract-schemas';
import { faultsOf, placedIn } from '../spoilt-bodies';
import { validBodies } from '../valid-bodies';
import type { World } from '../world';
import type { Dice } from './dice';
import { drawnValue } from './drawn-values';
import {
  ACCEPTED,
  BEYOND_ALL_BOUNDS,
  HOSTILE_ACCEPTS,
  HOSTILE_BODIES,
  HOSTILE_IDS,
  HOSTILE_KEYS,
  HOSTILE_TAGS,
  HOSTILE_TYPES,
  HOSTILE_VALUES,
} from './hostile-values';
import type { KnownIds } from './known-ids';

export interface NamedOperation {
  method: string;
  path: string;
  operation: Operation;
}

export interface FuzzRequest extends NamedOperation {
  /** who sends it */
  who: string;
  ids: Record<string, string>;
  url: string;
  headers: Record<string, string>;
  body: string | undefined;
  /** what makes this a request that nobody may be told to have succeeded, or null */
  excluded: string | null;
  /** the one place of a body that was spoilt, where the refusal has to name it */
  spoilt: (string | number)[] | null;
}

const CSV_COLUMNS = [
  'vehicleKey',
  'readAt',
  'value',
  'source',
  'externalKey',
  'fromOn',
  'task',
  'doneOn',
  'serialNumber',
  'unitType',
  'depot',
];

/** Makes requests of every kind for the operations of a contract, out of what is known so far. */
export class FuzzRequests {
  private readonly places = new Map<string, Place[]>();

  constructor(
    private readonly contract: Contract,
    private readonly mine: World,
    private readonly known: KnownIds,
  ) {}

  draw(dice: Dice, named: NamedOperation): FuzzRequest {
    const { path, operation } = named;
    const excluded: string[] = [];
    const names = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name ?? '');
    const ids = this.known.forPath(dice, names);
    if (names.length > 0 && dice.percent(15)) {
      const name = dice.pick(names);
      const isHostile = dice.percent(60);
      ids[name] = isHostile ? dice.pick(HOSTILE_IDS) : this.known.foreign(dice, name);
      excluded.push(`${isHostile ? 'hostile' : 'foreign'} ${name}`);
    }
    const address = path.replace(/\{(\w+)\}/g, (_, name: string) => ids[name] ?? '');
    const { text, spoilt } = this.body(dice, named, excluded);
    const headers: Record<string, string> = {};
    const who = this.signIn(dice, operation, headers);
    this.contentType(dice, operation, headers, text, excluded);
    this.accept(dice, headers);
    this.ifMatch(dice, named, address, headers, excluded);
    this.idempotencyKey(dice, operation, headers, excluded);
    const query = this.query(dice, operation, excluded);
    const url = query === '' ? address : `${address}?${query}`;
    // elsewhere, what a body refers to may belong to something else, which is told first
    const isOwn = names.every((name) => ids[name] === this.mine.ids[name]);
    const request = { ...named, who, ids, url, headers, body: text, excluded: excluded[0] ?? null };
    return { ...request, spoilt: isOwn ? spoilt : null };
  }

  private signIn(dice: Dice, operation: Operation, headers: Record<string, string>): string {
    const { keys, tokens, otherFleet } = this.mine;
    const role = dice.pick(roles);
    const [who, credential] = dice.weighted<readonly [string, string]>([
      [80, ['administrator', keys.administrator]],
      [6, [`${role} by key`, keys[role]]],
      [6, [`${role} by token`, tokens[role]]],
      [4, ['planner of the other fleet', otherFleet.keys.planner]],
      [
        2,
        ['somebody with garbage', dice.pick(['pk_garbage', 'a.b.c', '\u00e9', 'pk__', `${tokens[role]}x`])],
      ],
      [2, ['nobody', '']],
    ]);
    if (credential === '' || operation['x-public'] === true) return who;
    if (isForSessionsOnly(operation) && dice.percent(90)) {
      headers.cookie = `${SESSION_COOKIE}=${this.mine.person.session}`;
      headers['sec-fetch-site'] = dice.percent(95) ? 'same-origin' : 'cross-site';
      return 'an administrator who has signed in';
    }
    headers.authorization = `Bearer ${credential}`;
    return who;
  }

  private contentType(
    dice: Dice,
    operation: Operation,
    headers: Record<string, string>,
    text: string | undefined,
    excluded: string[],
  ): void {
    const types = Object.keys(operation.requestBody?.content ?? {});
    if (text === undefined) return;
    headers['content-type'] = types.length === 0 ? 'application/json' : dice.pick(types);
    if (types.length === 0 || !dice.percent(3)) return;
    const type = dice.pick(HOSTILE_TYPES);
    headers['content-type'] = type;
    if (!types.includes(type.split(';')[0] ?? '')) excluded.push(`content type ${type}`);
  }

  private accept(dice: Dice, headers: Record<string, string>): void {
    if (dice.percent(15)) headers.accept = dice.pick(dice.percent(50) ? ACCEPTED : HOSTILE_ACCEPTS);
  }

  private ifMatch(
    dice: Dice,
    { path, operation }: NamedOperation,
    address: string,
    headers: Record<string, string>,
    excluded: string[],
  ): void {
    if (!takesHeader(operation, 'If-Match')) {
      if (dice.percent(2)) headers['if-match'] = dice.pick(HOSTILE_TAGS);
      return;
    }
    if (dice.percent(8)) {
      headers['if-match'] = dice.pick([...HOSTILE_TAGS, '"r9999"']);
      excluded.push(`If-Match ${headers['if-match']}`);
    } else if (dice.percent(97)) {
      // an action is about the record that its address begins with
      const isRecord = this.contract.paths[path]?.get !== undefined;
      const record = isRecord ? address : address.replace(/\/[^/]+$/, '');
      headers['if-match'] = this.known.etagOf(record) ?? '"r1"';
    } else {
      excluded.push('no If-Match');
    }
  }

  private idempotencyKey(
    dice: Dice,
    operation: Operation,
    headers: Record<string, string>,
    excluded: string[],
  ): void {
    const kind = dice.weighted([
      [60, 'none'],
      [25, 'new'],
      [8, 'again'],
      [7, 'hostile'],
    ] as const);
    const { idempotencyKeys } = this.known;
    if (kind === 'none' || (kind === 'again' && idempotencyKeys.length === 0)) return;
    const fresh = randomUUID();
    const key = kind === 'new' ? fresh : dice.pick(kind === 'again' ? idempotencyKeys : HOSTILE_KEYS);
    headers['idempotency-key'] = key;
    if (kind === 'new') this.known.used(key);
    if (kind === 'hostile' && takesHeader(operation, 'Idempotency-Key'))
      excluded.push(`Idempotency-Key ${key}`);
  }

  private query(dice: Dice, operation: Operation, excluded: string[]): string {
    const query = new URLSearchParams();
    for (const { name, in: place, required, schema: raw } of operation.parameters ?? []) {
      if (place !== 'query' || (required !== true && !dice.percent(20))) continue;
      const schema = schemaOf(this.contract, raw);
      const value = this.queryValue(dice, name, schema, excluded);
      query.append(name, value);
      if (dice.percent(2)) query.append(name, value);
    }
    if (dice.percent(3)) {
      const name = dice.pick(['notAParameter', '__proto__', 'limit[]', '$where', '']);
      query.append(name, '1');
      // the parser of queries drops this name, whatever comes with it
      if (takesQuery(operation) && name !== '__proto__') excluded.push(`an unknown parameter ${name}`);
    }
    return query.toString();
  }

  private queryValue(dice: Dice, name: string, schema: Schema, excluded: string[]): string {
    if (name === 'cursor' || name === 'after') {
      const { cursors } = this.known;
      return cursors.length > 0 && dice.percent(70) ? dice.pick(cursors) : hostileText(dice);
    }
    if (dice.percent(15)) {
      const value = hostileText(dice);
      const isNumber = ['integer', 'number'].includes(schema.types[0] ?? '');
      if (isNumber && !/^[\s\d.e+-]*$/i.test(value)) excluded.push(`${name}=${value}`);
      // what nobody has to wait for
      return name === 'wait' && Number(value) > 0 ? '-1' : value;
    }
    if (name === 'wait') return '0';
    const value = drawnValue(schema, name, dice, this.known);
    return Array.isArray(value) ? value.join(',') : String(value);
  }

  private body(
    dice: Dice,
    { operation }: NamedOperation,
    excluded: string[],
  ): { text: string | undefined; spoilt: FuzzRequest['spoilt'] } {
    const types = Object.keys(operation.requestBody?.content ?? {});
    if (types.length === 0)
      return { text: dice.percent(3) ? dice.pick(HOSTILE_BODIES) : undefined, spoilt: null };
    if (types.includes('text/csv')) return { text: this.csv(dice), spoilt: null };
    if (types.includes('application/x-www-form-urlencoded')) return { text: this.form(dice), spoilt: null };
    if (dice.percent(4)) return { text: dice.pick(HOSTILE_BODIES), spoilt: null };
    const schema = bodySchemaOf(this.contract, operation);
    if (schema === null) throw new Error(`what does ${operation.operationId} take?`);
    const isDrawn = dice.percent(50);
    const body = isDrawn ? drawnValue(schema, '', dice, this.known) : this.acceptedBody(dice, operation);
    if (dice.percent(55)) return { text: JSON.stringify(body), spoilt: null };
    const place = dice.pick(this.placesOf(operation, schema));
    const faults = faultsOf(body, place);
    if (faults.length > 0 && dice.percent(40)) {
      const { what, text } = dice.pick(faults);
      excluded.push(`${place.path.join('/')}: ${what}`);
      // what is drawn may have other faults, which are told first
      return { text, spoilt: isDrawn ? null : place.path };
    }
    if (dice.percent(10)) {
      const other =
        place.schema.format === 'uuid'
          ? this.known.foreign(dice, String(place.path.at(-1)))
          : this.known.any(dice);
      return { text: JSON.stringify(placedIn(body, place.path, other)), spoilt: null };
    }
    const hostile = dice.pick(HOSTILE_VALUES);
    const text = JSON.stringify(placedIn(body, place.path, hostile)).replace(
      `"${BEYOND_ALL_BOUNDS}"`,
      '1e400',
    );
    return { text, spoilt: null };
  }

  /** A body that the operation takes, with a key that nobody has used. */
  private acceptedBody(dice: Dice, operation: Operation): unknown {
    const body = structuredClone(validBodies(this.mine)[operation.operationId] ?? {});
    if ('externalKey' in body && dice.percent(80)) body.externalKey = randomUUID();
    return body;
  }

  private placesOf({ operationId }: Operation, schema: Schema): Place[] {
    const places = this.places.get(operationId) ?? [
      { path: [], schema, required: false },
      ...placesOf(schema),
    ];
    this.places.set(operationId, places);
    return places;
  }

  private csv(dice: Dice): string {
    const columns = dice.of(fc.subarray(CSV_COLUMNS, { minLength: 1 }));
    const cell = (): string => {
      const value = dice.percent(60)
        ? dice.pick(['V1', 'D1', '2026-11-02T09:00:00Z', '2026-11-02', '13500', ''])
        : dice.pick(HOSTILE_VALUES);
      const text = asText(value);
      return dice.percent(20) ? `"${text.replaceAll('"', '""')}"` : text;
    };
    const lines = Array.from({ length: dice.of(fc.nat({ max: 6 })) }, () => columns.map(cell).join(','));
    return [dice.percent(90) ? columns.join(',') : cell(), ...lines].join(dice.pick(['\r\n', '\n', '\r']));
  }

  private form(dice: Dice): string {
    const form = new URLSearchParams();
    for (const [name, value] of [
      ['grant_type', 'client_credentials'],
      ['client_id', 'oc_x'],
      ['client_secret', 'y'],
      ['scope', 'read write'],
    ] as const)
      if (dice.percent(80)) form.append(name, dice.percent(70) ? value : hostileText(dice));
    return form.toString();
  }
}

const asText = (value: unknown): string => (typeof value === 'string' ? value : JSON.stringify(value));

const hostileText = (dice: Dice): string => asText(dice.pick(HOSTILE_VALUES));

function takesHeader({ parameters }: Operation, header: string): boolean {
  return parameters?.some(({ name, in: place }) => place === 'header' && name === header) === true;
}

function takesQuery({ parameters }: Operation): boolean {
  return parameters?.some(({ in: place }) => place === 'query') === true;
}
