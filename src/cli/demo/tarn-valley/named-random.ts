import { SeededRandom } from '../../../core/shared/seeded-random';
import { present } from './present';

/**
 * A stream of numbers for one purpose, seeded by a name: what is drawn for one vehicle or one file does not
 * shift what is drawn for the others.
 */
export class NamedRandom extends SeededRandom {
  constructor(name: string) {
    // FNV-1a, so that streams with similar names do not start alike
    let hash = 0x811c9dc5;
    for (const character of name) hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193);
    super(hash);
  }

  deviate(mean: number, deviation: number): number {
    return mean + deviation * this.normal();
  }

  chance(probability: number): boolean {
    return this.next() < probability;
  }

  pick<T>(list: readonly T[]): T {
    return present(list[this.integer(0, list.length - 1)], 'an entry to pick');
  }

  /** A shuffled copy (Fisher–Yates). */
  shuffled<T>(list: readonly T[]): T[] {
    const copy = [...list];
    for (let last = copy.length - 1; last > 0; last -= 1) {
      const other = this.integer(0, last);
      [copy[last], copy[other]] = [present(copy[other], 'entry'), present(copy[last], 'entry')];
    }
    return copy;
  }
}
