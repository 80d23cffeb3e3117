import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import type { Client, Pool } from 'pg';
import { DataSource, type EntityManager } from 'typeorm';
import { CodedError } from '../errors/coded-error';
import type { RequestContext } from '../http/request-context';
import type { Principal } from '../security/principal';
import { constraintOf, sqlStateOf } from './connection-errors';
import { findRecordedResponse, recordResponse } from './idempotency-records';

/** The transaction's own manager: handed to every repository method, so that none can step outside it. */
export type Tx = EntityManager;

/** A statement that a repository words and `readRows` sends. */
export interface Statement<Row extends object> {
  sql: string;
  parameters: unknown[];
  /** only names the type of the rows */
  rows?: Row[];
}

const ATTEMPTS = 5;

/**
 * The only way to the data. Every transaction starts by narrowing the connection to the caller's
 * organisation and fleets; outside one, row security shows nothing at all.
 */
@Injectable()
export class Transactions {
  /** principals that read in a transaction which is open already, and that transaction */
  private readonly snapshots = new WeakMap<Principal, Tx>();

  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /** Several reads in one transaction. */
  read<T>(principal: Principal, work: (tx: Tx) => Promise<T>): Promise<T> {
    const snapshot = this.snapshots.get(principal);
    return snapshot === undefined ? this.run(principal, work) : work(snapshot);
  }

  /**
   * Many reads that all see the data as they are when it begins: whatever is read on behalf of the principal that `work`
   * is given is read in one transaction, which cannot write.
   */
  snapshot<T>(principal: Principal, work: (principal: Principal) => Promise<T>): Promise<T> {
    return this.run(
      principal,
      async (tx) => {
        // beside the time limit of each statement: a process that hangs between two of them lets go
        await tx.query(
          `SELECT set_config('transaction_read_only', 'on', true),
            set_config('idle_in_transaction_session_timeout', '60s', true)`,
        );
        const reader = { ...principal };
        this.snapshots.set(reader, tx);
        try {
          return await work(reader);
        } finally {
          this.snapshots.delete(reader);
        }
      },
      'REPEATABLE READ',
    );
  }

  /**
   * Writes in one transaction, repeated as a whole when it lost against another one. With an
   * `Idempotency-Key` the result is stored in the same transaction, and a repetition is answered from it;
   * so `work` must return exactly what the caller is to be answered, as plain JSON data.
   */
  async write<T>(context: RequestContext, work: (tx: Tx) => Promise<T>): Promise<T> {
    const { principal, idempotency } = context;
    if (idempotency === null) return this.run(principal, work);
    return this.run(principal, async (tx) => {
      const recorded = await findRecordedResponse(tx, principal, idempotency);
      // the same operation wrote it, so it has the type that the operation answers
      if (recorded !== null) return recorded.response as T;
      const response = await work(tx);
      await recordResponse(tx, principal, idempotency, response);
      return response;
    });
  }

  /**
   * One statement in a transaction of its own, sent together with the statements around it instead of
   * waiting for each answer: the way of the few reads that are called all day long.
   */
  async readRows<Row extends object>(
    principal: Principal,
    { sql, parameters }: Statement<Row>,
  ): Promise<Row[]> {
    const snapshot = this.snapshots.get(principal);
    if (snapshot !== undefined) return snapshot.query<Row[]>(sql, parameters);
    const pool = (this.dataSource.driver as unknown as { master: Pool }).master;
    const client = await pool.connect();
    client.on('error', alreadyTold);
    let failed: Error | undefined;
    try {
      const { stream } = (client as unknown as Client).connection;
      stream.cork(); // one write to the server, and one reading on its side, instead of four
      const answers = Promise.all([
        client.query('BEGIN READ ONLY'),
        client.query<{ entered: boolean }>('SELECT app.enter($1, $2) AS entered', [
          principal.organisationId,
          entersBy(principal),
        ]),
        client.query<Row>(sql, parameters),
        client.query('COMMIT'),
      ]);
      stream.uncork();
      const [, entered, result] = await answers;
      if (entered.rows[0]?.entered !== true) throw notEntered(principal);
      return result.rows;
    } catch (error) {
      failed = error as Error;
      throw error;
    } finally {
      const usable = failed === undefined || failed instanceof CodedError;
      if (usable) client.off('error', alreadyTold);
      // after a failure the state of the pipeline is unknown: give the connection up instead of reusing it
      client.release(usable ? undefined : failed);
    }
  }

  /** A part of a transaction that can fail and be taken back without the rest. */
  savepoint<T>(tx: Tx, work: (tx: Tx) => Promise<T>): Promise<T> {
    return tx.transaction(work);
  }

  /** Fails when the database does not answer. */
  async ping(): Promise<void> {
    await this.dataSource.query('SELECT 1');
  }

  /** One transaction on behalf of somebody, repeated as a whole when it lost against another one. */
  async run<T>(
    principal: Principal,
    work: (tx: Tx) => Promise<T>,
    isolation?: 'REPEATABLE READ',
  ): Promise<T> {
    for (let attempt = 1; ; attempt++) {
      const runner = this.dataSource.createQueryRunner();
      try {
        await runner.startTransaction(isolation);
        const [row] = (await runner.query('SELECT app.enter($1, $2) AS entered', [
          principal.organisationId,
          entersBy(principal),
        ])) as [{ entered: boolean }];
        if (!row.entered) throw notEntered(principal);
        const result = await work(runner.manager);
        await runner.commitTransaction();
        return result;
      } catch (error) {
        // a connection that breaks between two statements is given up at once; the next statement then
        // complains of that and not of its cause
        if (runner.isReleased) throw new Error('Connection terminated unexpectedly', { cause: error });
        if (runner.isTransactionActive) await rollback(runner.rollbackTransaction.bind(runner));
        if (attempt >= ATTEMPTS || !isWorthAnotherAttempt(error)) throw error;
        await new Promise((resolve) => setTimeout(resolve, Math.random() * 20 * 2 ** attempt));
      } finally {
        await runner.release();
      }
    }
  }
}

// A connection that breaks fails its statements, which tells the caller; it is also an event, and one without
// a listener would end the process.
function alreadyTold(): void {
  // nothing is left to be done
}

// A connection that broke cannot roll back, and need not: the error that broke it is the one to report.
async function rollback(run: () => Promise<void>): Promise<void> {
  await run().catch(() => undefined);
}

function isWorthAnotherAttempt(error: unknown): boolean {
  const state = sqlStateOf(error);
  return (
    state === '40001' ||
    state === '40P01' ||
    (state === '23505' && constraintOf(error) === 'idempotency_records_pkey')
  );
}

const entersBy = ({ sessionId, actorId }: Principal): string | null => sessionId ?? actorId;

function notEntered({ sessionId }: Principal): CodedError {
  return sessionId === undefined
    ? new CodedError('key-not-valid', 'This key or client has been revoked or has expired.')
    : new CodedError('session-not-valid', 'This session has ended.');
}
