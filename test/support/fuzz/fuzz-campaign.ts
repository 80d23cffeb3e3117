import { setTimeout as sleep } from 'node:timers/promises';
import Ajv2020, { type ValidateFunction } from 'ajv/dist/2020';
import addFormats from 'ajv-formats';
import { ImportRunnerService } from '../../../src/modules/imports/import-runner.service';
import { PlanAcceptanceService } from '../../../src/modules/downtime-plans/plan-acceptance.service';
import { operationsOf, readContract } from '../contract-check';
import { pointerOf } from '../contract-schemas';
import { organisationIds, UUID } from '../organisation-digest';
import { send, type Sent } from '../send';
import type { TestApp } from '../test-app';
import type { World } from '../world';
import { Dice } from './dice';
import { FuzzRequests, type FuzzRequest, type NamedOperation } from './fuzz-request';
import { KnownIds } from './known-ids';

interface FieldError {
  pointer?: string;
  parameter?: string;
  detail?: string;
  remedy?: string;
}

export interface FuzzReport {
  requests: number;
  /** how many answers had each status */
  statuses: Record<string, number>;
  /** operations that were carried out at least once */
  succeeded: Set<string>;
  /** what was wrong, each with the request that showed it */
  findings: string[];
}

export interface FuzzOptions {
  seed: number;
  requests: number;
  /** only operations at these addresses */
  at?: RegExp;
  /** ends with the first finding */
  untilFound?: boolean;
  /** after how long an answer is not expected any more */
  patienceMs?: number;
}

// An answer takes milliseconds. Who has none after this long would wait for ever.
const PATIENCE_MS = 60_000;

const INPUT_PROBLEMS = ['/problems/validation-failed', '/problems/contradictory-layout'];

/**
 * Sends requests that are made of the contract, valid, nearly valid and hostile, one after the other to an application
 * that keeps what it is told, and judges every answer: it is there, it is no failure, it is what the contract says, it
 * names what was wrong, it carries out nothing that the contract excludes, and it tells nothing of another organisation.
 */
export class FuzzCampaign {
  private readonly contract = readContract();
  private readonly ajv = new Ajv2020({ strict: false });
  private readonly validators = new Map<string, ValidateFunction>();

  constructor(
    private readonly test: TestApp,
    private readonly mine: World,
    private readonly theirs: World,
  ) {
    addFormats(this.ajv);
    this.ajv.addSchema({ $id: 'requests', components: this.contract.components });
  }

  async run(options: FuzzOptions): Promise<FuzzReport> {
    const { seed, requests, at = /./, untilFound = false, patienceMs = PATIENCE_MS } = options;
    const report: FuzzReport = { requests: 0, statuses: {}, succeeded: new Set(), findings: [] };
    const foreignIds = await organisationIds(this.test, this.theirs.organisation.organisationId);
    const known = new KnownIds(this.contract, this.mine, this.theirs);
    const maker = new FuzzRequests(this.contract, this.mine, known);
    const operations = operationsOf(this.contract).filter(({ path }) => at.test(path));
    this.test.contract.takeBreaches();
    for (const [number, dice] of Dice.sets(seed, requests).entries()) {
      const named = number < operations.length ? operations[number] : dice.pick(operations);
      if (named === undefined) throw new Error('the contract has no operations');
      const request = maker.draw(dice, named);
      const answer = await this.answerTo(request, patienceMs);
      report.requests += 1;
      const findings =
        answer === null
          ? ['there was no answer']
          : [...this.judge(request, answer), ...leaks(request, answer, foreignIds)];
      report.findings.push(...findings.map((finding) => told(seed, number, request, answer, finding)));
      if (answer === null || (untilFound && findings.length > 0)) return report;
      report.statuses[answer.status] = (report.statuses[answer.status] ?? 0) + 1;
      if (answer.status >= 300) continue;
      report.succeeded.add(named.operation.operationId);
      known.learn(named.method, named.path, request.url, request.ids, answer.body, answer.headers.etag);
      await this.workOff(named, answer);
    }
    return report;
  }

  private async answerTo(
    { method, url, headers, body }: FuzzRequest,
    patienceMs: number,
  ): Promise<Sent | null> {
    const giveUp = new AbortController();
    const tooLong = sleep(patienceMs, null, { signal: giveUp.signal }).catch(() => null);
    const answer = await Promise.race([send(this.test, method, url, { headers, body }), tooLong]);
    giveUp.abort();
    return answer;
  }

  /** What a background process would do with what was handed over. */
  private async workOff({ operation }: NamedOperation, { body }: Sent): Promise<void> {
    const { organisationId } = this.mine.organisation;
    if (operation.operationId === 'Imports_start')
      await this.test.app.get(ImportRunnerService).run(organisationId, String(body.id));
    if (operation.operationId === 'DowntimePlans_accept') {
      const by = { actorId: organisationId, actor: 'whoever asked' };
      const acceptance = { organisationId, planId: String(body.id), visitIds: null, ...by };
      await this.test.app.get(PlanAcceptanceService).run(acceptance);
    }
  }

  private *judge(request: FuzzRequest, answer: Sent): Generator<string> {
    const { status, headers } = answer;
    if (status >= 500) yield `failed with ${status}`;
    yield* this.test.contract.takeBreaches();
    if (headers['x-request-id'] === undefined) yield 'the answer does not say what its request is called';
    const reason = request.excluded ?? this.bodyExcluded(request);
    if (status < 300 && reason !== null) yield `was carried out in spite of: ${reason}`;
    if (status >= 400 && headers['content-type']?.startsWith('application/problem+json') === true)
      yield* this.judgeProblem(request, answer);
  }

  private *judgeProblem(request: FuzzRequest, { status, body }: Sent): Generator<string> {
    const {
      type,
      detail,
      remedy,
      errors = [],
    } = body as { type?: string; detail?: string; remedy?: string; errors?: FieldError[] };
    if (!isSaid(detail) || !isSaid(remedy)) yield 'a problem without detail or remedy';
    const unnamed = errors.filter(
      ({ pointer, parameter, ...error }) =>
        (pointer ?? parameter) === undefined || !isSaid(error.detail) || !isSaid(error.remedy),
    );
    if (unnamed.length > 0) yield 'an error without its place, what is wrong, or what to do';
    if (!INPUT_PROBLEMS.includes(type ?? '')) return;
    if (errors.length === 0) yield `${status} for input names no field`;
    const { spoilt, excluded } = request;
    if (spoilt === null || excluded === null || !excluded.startsWith(`${spoilt.join('/')}:`)) return;
    // what is wrong with a parameter, and a record that is gone by now, is told first, and alone
    const aboutTheBody = errors.filter(
      ({ pointer }) => pointer !== undefined && !isReference(request.body ?? '', pointer),
    );
    if (aboutTheBody.length > 0 && !aboutTheBody.some(({ pointer = '' }) => isAbout(pointer, spoilt)))
      yield `names ${aboutTheBody.map(({ pointer }) => pointer).join(' ')}, not ${pointerOf(spoilt)}`;
  }

  /** What the contract says against the body of a request, or null. */
  private bodyExcluded({ operation, body }: FuzzRequest): string | null {
    const schema = operation.requestBody?.content['application/json']?.schema;
    if (schema === undefined || body === undefined) return null;
    const { operationId } = operation;
    const validate =
      this.validators.get(operationId) ??
      this.ajv.compile(JSON.parse(JSON.stringify(schema).replaceAll('"#/', '"requests#/')) as object);
    this.validators.set(operationId, validate);
    let value: unknown;
    try {
      // who reads JSON may pass over a byte order mark (RFC 8259, section 8.1)
      value = JSON.parse(body.replace(/^\ufeff/, ''));
    } catch {
      return 'a body that is no JSON';
    }
    return validate(value) ? null : `body ${this.ajv.errorsText(validate.errors)}`;
  }
}

const isSaid = (text: string | undefined): boolean => text !== undefined && text.length > 3;

/** Whether a pointer is to the id of another record. */
function isReference(body: string, pointer: string): boolean {
  const inside = (node: unknown, name: string): unknown =>
    (node as Record<string, unknown> | undefined)?.[name];
  const value = pointer.split('/').slice(1).reduce(inside, JSON.parse(body));
  return typeof value === 'string' && value.match(UUID) !== null;
}

/** Whether a pointer is to a place, into it, or to what it is directly in. */
function isAbout(pointer: string, path: readonly (string | number)[]): boolean {
  const place = pointerOf([...path]);
  return pointer === place || pointer.startsWith(`${place}/`) || pointer === pointerOf(path.slice(0, -1));
}

function leaks({ url, body = '' }: FuzzRequest, { text }: Sent, foreignIds: ReadonlySet<string>): string[] {
  const told = (text.match(UUID) ?? []).filter(
    (id) => foreignIds.has(id) && !url.includes(id) && !body.includes(id),
  );
  return [...new Set(told)].map((id) => `tells ${id} of another organisation`);
}

function told(
  seed: number,
  number: number,
  request: FuzzRequest,
  answer: Sent | null,
  finding: string,
): string {
  const { who, method, url, operation, body = '' } = request;
  const headers = Object.fromEntries(
    Object.entries(request.headers).filter(([name]) => name !== 'authorization'),
  );
  return [
    `${operation.operationId}: ${finding}`,
    `  seed ${seed}, request ${number} by ${who}: ${method} ${url.slice(0, 400)} ${JSON.stringify(headers)}`,
    `  ${body.slice(0, 1_500)}`,
    `  answered ${answer?.status ?? 'nothing'}: ${answer?.text.slice(0, 600) ?? ''}`,
  ].join('\n');
}
