import { randomUUID } from 'node:crypto';
import type { Contract } from '../contract-check';
import type { World } from '../world';
import type { Dice } from './dice';

type Ids = Record<string, string>;

/** Names of fields, lists and paths whose ids go by another name in the addresses. */
const ALSO_CALLED: Readonly<Record<string, string>> = {
  basedOn: 'versionId',
  serviceProgrammeId: 'programmeId',
  signedOffBy: 'technicianId',
  visitIds: 'plannedVisitId',
  workshopIds: 'workshopId',
  fleetIds: 'fleetId',
  depotIds: 'depotId',
  technicianIds: 'technicianId',
  events: 'eventId',
  charges: 'eventId',
  'precharge-tests': 'eventId',
  'unit-moves': 'placementId',
  'hold-overrides': 'overrideId',
  'job-sheet': 'jobSheetId',
  visits: 'plannedVisitId',
};

// Who revokes the keys that it works with is heard no more, so only those that the run itself made are touched;
// and the progress of a plan that nobody computes would be told without an end.
const NOT_LEARNT_FROM_LISTS = ['keyId', 'oauthClientId', 'personId'];
const NEVER_LEARNT = ['downtimePlanId'];

const REMEMBERED = 40;

/** What somebody knows who has read every answer so far: ids, versions, cursors, used keys. */
export class KnownIds {
  private readonly found = new Map<string, Ids[]>();
  private readonly parameterOf = new Map<string, string>();
  private readonly etags = new Map<string, string>();
  readonly cursors: string[] = [];
  readonly idempotencyKeys: string[] = [];

  constructor(
    contract: Contract,
    private readonly mine: World,
    private readonly theirs: World,
  ) {
    for (const path of Object.keys(contract.paths))
      for (const [, segment = '', parameter = ''] of path.matchAll(/([^/]+)\/\{(\w+)\}/g))
        this.parameterOf.set(segment, parameter);
    for (const [name, parameter] of Object.entries(ALSO_CALLED)) this.parameterOf.set(name, parameter);
  }

  /** Remembers what an answer told; `ids` are those of the address that was asked. */
  learn(method: string, path: string, url: string, ids: Ids, body: unknown, etag: string | undefined): void {
    if (etag !== undefined) this.etags.set(url.split('?')[0] ?? '', etag);
    if (typeof body !== 'object' || body === null) return;
    const { items, next, id } = body as { items?: unknown; next?: unknown; id?: unknown };
    if (typeof next === 'string') this.remember(this.cursors, next);
    const parameter = this.parameterOf.get(path.split('/').at(-1) ?? '');
    if (parameter === undefined || NEVER_LEARNT.includes(parameter)) return;
    const isList = Array.isArray(items);
    if (isList && NOT_LEARNT_FROM_LISTS.includes(parameter)) return;
    const list = this.found.get(parameter) ?? [];
    this.found.set(parameter, list);
    for (const one of isList
      ? (items as { id?: unknown }[]).slice(0, 5)
      : method === 'POST'
        ? [{ id }]
        : []) {
      if (typeof one.id === 'string') this.remember(list, { ...ids, [parameter]: one.id });
    }
  }

  used(idempotencyKey: string): void {
    this.remember(this.idempotencyKeys, idempotencyKey);
  }

  etagOf(url: string): string | undefined {
    return this.etags.get(url);
  }

  /** Ids for an address: those of one record and what it belongs to, or ones that have nothing to do with each other. */
  forPath(dice: Dice, names: readonly string[]): Ids {
    const last = names.at(-1);
    if (last === undefined) return {};
    const together = this.recordsOf(last);
    const record = together.length > 0 && dice.percent(70) ? dice.pick(together) : {};
    return Object.fromEntries(names.map((name) => [name, record[name] ?? this.one(dice, name)]));
  }

  /** An id of the kind that a name asks for. */
  one(dice: Dice, name: string): string {
    const parameter = ALSO_CALLED[name] ?? name;
    const own = [
      ...this.recordsOf(parameter).map((record) => record[parameter] ?? ''),
      ...(this.mine.ids[parameter] === undefined ? [] : [this.mine.ids[parameter]]),
    ];
    return own.length > 0 && dice.percent(90) ? dice.pick(own) : this.any(dice);
  }

  /** An id of whatever there is. */
  any(dice: Dice): string {
    return dice.percent(80) ? dice.pick(Object.values(this.mine.ids)) : randomUUID();
  }

  /** An id that another organisation has; not the secret of a calendar, which opens it to whoever knows it. */
  foreign(dice: Dice, name: string): string {
    const ids = { ...this.theirs.ids };
    delete ids.calendarSecret;
    return ids[ALSO_CALLED[name] ?? name] ?? dice.pick(Object.values(ids));
  }

  private recordsOf(parameter: string): Ids[] {
    const { ids } = this.mine;
    return [...(ids[parameter] === undefined ? [] : [ids]), ...(this.found.get(parameter) ?? [])];
  }

  private remember<Value>(list: Value[], value: Value): void {
    list.push(value);
    if (list.length > REMEMBERED) list.shift();
  }
}
