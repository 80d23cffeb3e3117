import { normalQuantile } from './statistics-normal';

/**
 * A stream of pseudo-random numbers that the same seed always repeats. Not for anything secret.
 *
 * Source: sfc32 of C. Doty-Humphrey's PractRand (public domain): 96 bits of chaotic state and a 32-bit
 * counter, so every stream is at least 2^32 numbers long.
 */
export class SeededRandom {
  private a: number;
  private b: number;
  private c: number;
  private counter = 1;

  /** @param seed whole number; its lowest 53 bits count */
  constructor(seed: number) {
    this.a = 0;
    this.b = seed | 0;
    this.c = Math.floor(seed / 4_294_967_296) | 0;
    // as many rounds as the source takes until two close seeds have nothing in common
    for (let round = 0; round < 15; round++) this.bits();
  }

  /** At least 0, below 1, in steps of 2^-32. */
  next(): number {
    return (this.bits() >>> 0) / 4_294_967_296;
  }

  /** Whole number from `low` to `high`, both included. */
  integer(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1));
  }

  /** Standard normal by inversion: one draw each. */
  normal(): number {
    // half a step off zero, whose quantile is not finite
    return normalQuantile(this.next() + 1 / 8_589_934_592);
  }

  private bits(): number {
    const sum = (((this.a + this.b) | 0) + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (((this.c << 21) | (this.c >>> 11)) + sum) | 0;
    return sum;
  }
}
