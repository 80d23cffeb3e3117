import { createHmac, timingSafeEqual } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { DATABASE_SECRET } from '../database/database.module';
import { parameterError } from '../errors/coded-error';

/** One page of a list: `next` is the cursor of the following one, null on the last. */
export interface Page<T> {
  items: T[];
  next: string | null;
}

/**
 * Cursors name the last row that was seen, not a number of rows to skip, so a page stays right while rows
 * come and go. They are signed and bound to the filter that they were made for.
 */
@Injectable()
export class Cursors {
  constructor(@Inject(DATABASE_SECRET) private readonly secret: string) {}

  /**
   * Cuts a page out of rows that were read with one more than `limit`.
   *
   * @param filter everything that decides which rows there are and in which order, the organisation included
   * @param keyOf the values that the list is sorted by, ending in a unique one
   */
  page<Row, T>(
    rows: Row[],
    limit: number,
    filter: unknown,
    keyOf: (row: Row) => unknown[],
    toItem: (row: Row) => T,
  ): Page<T> {
    const seen = rows.slice(0, limit);
    const last = seen.at(-1);
    const next = rows.length > limit && last !== undefined ? this.encode(keyOf(last), filter) : null;
    return { items: seen.map(toItem), next };
  }

  /** The sort values of the last row seen, or null on the first page. */
  after(cursor: string | undefined, filter: unknown, parameter = 'cursor'): unknown[] | null {
    if (cursor === undefined) return null;
    const [payload, signature] = cursor.split('.');
    if (payload === undefined || signature === undefined || !this.isSignature(signature, payload, filter)) {
      throw parameterError(
        parameter,
        'This cursor was not made by this server for this list and filter.',
        `repeat the list without "${parameter}", and keep the filter while you follow "next"`,
      );
    }
    return JSON.parse(Buffer.from(payload, 'base64url').toString('utf8')) as unknown[];
  }

  /** The cursor of a place in a list; `filter` as for `page`. */
  encode(key: unknown[], filter: unknown): string {
    const payload = Buffer.from(JSON.stringify(key)).toString('base64url');
    return `${payload}.${this.sign(payload, filter).toString('base64url')}`;
  }

  private sign(payload: string, filter: unknown): Buffer {
    return createHmac('sha256', this.secret)
      .update(`cursor ${JSON.stringify(filter)} ${payload}`)
      .digest()
      .subarray(0, 16);
  }

  private isSignature(signature: string, payload: string, filter: unknown): boolean {
    const given = Buffer.from(signature, 'base64url');
    const right = this.sign(payload, filter);
    return given.length === right.length && timingSafeEqual(given, right);
  }
}
