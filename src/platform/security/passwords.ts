import { Injectable } from '@nestjs/common';
import { Algorithm, hash, verify } from '@node-rs/argon2';
import { CodedError } from '../errors/coded-error';

// argon2id (RFC 9106) with the least that the OWASP Password Storage Cheat Sheet asks for:
// 19 MiB of memory, two passes, one lane
export const ARGON2_PARAMETERS = {
  algorithm: 2 satisfies Algorithm.Argon2id,
  memoryCost: 19_456,
  timeCost: 2,
  parallelism: 1,
};

/** So many are computed at a time, each in memory of its own and in a thread that files need as well. */
const AT_A_TIME = 2;
/** So many more wait their turn; further ones are told to come back. */
const WAITING_AT_MOST = 100;

/** A hash with the same parameters that no password is known for. */
export const NOBODYS_HASH =
  '$argon2id$v=19$m=19456,t=2,p=1$bm9ib2R5IGFueXdoZXJlLg$3qJ0oXn7m5kQyT1ZpV8sRw2uLcGf4hBdKe6iMjNvA9E';

/** Hashes passwords and compares them, in threads of their own, and never more at a time than memory allows. */
@Injectable()
export class Passwords {
  private running = 0;
  private readonly waiting: (() => void)[] = [];

  hash(password: string): Promise<string> {
    return this.inTurn(() => hash(prepared(password), ARGON2_PARAMETERS));
  }

  /**
   * Whether it is the password of a hash. Where there is none it takes as long to find that out.
   *
   * @param stored null for a person who does not exist, or has no password
   */
  async isPasswordOf(stored: string | null, password: string): Promise<boolean> {
    const fits = await this.inTurn(() => verify(stored ?? NOBODYS_HASH, prepared(password)));
    return fits && stored !== null;
  }

  private async inTurn<T>(work: () => Promise<T>): Promise<T> {
    if (this.running >= AT_A_TIME) {
      if (this.waiting.length >= WAITING_AT_MOST) {
        throw new CodedError('too-many-requests', 'Too many people are signing in at the moment.');
      }
      // whoever finishes hands its place over
      await new Promise<void>((resolve) => this.waiting.push(resolve));
    } else {
      this.running += 1;
    }
    try {
      return await work();
    } finally {
      const next = this.waiting.shift();
      if (next === undefined) this.running -= 1;
      else next();
    }
  }
}

/** The same password, however a keyboard has put its letters together (RFC 8265, section 4.2: OpaqueString). */
export function prepared(password: string): string {
  // spaces of any kind are one space there; everything else but the composition stays as typed
  return password.replace(/\p{Zs}/gu, ' ').normalize('NFC');
}
