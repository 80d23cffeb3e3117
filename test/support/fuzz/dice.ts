import fc from 'fast-check';

/** Draws of fast-check, one after the other; the same seed draws the same again. */
export class Dice {
  private constructor(private readonly draw: fc.GeneratorValue) {}

  static sets(seed: number, count: number): Dice[] {
    return fc.sample(fc.gen(), { seed, numRuns: count }).map((draw) => new Dice(draw));
  }

  of<Value>(arbitrary: fc.Arbitrary<Value>): Value {
    return this.draw(() => arbitrary);
  }

  /** True so many times in a hundred. */
  percent(chance: number): boolean {
    return this.of(fc.noBias(fc.nat({ max: 99 }))) < chance;
  }

  pick<Value>(list: readonly Value[]): Value {
    if (list.length === 0) throw new Error('there is nothing to pick from');
    return list[this.of(fc.noBias(fc.nat({ max: list.length - 1 })))] as Value;
  }

  /** One of some choices, each as often as its weight says. */
  weighted<Value>(choices: readonly (readonly [weight: number, value: Value])[]): Value {
    return this.of(
      fc.noBias(fc.oneof(...choices.map(([weight, value]) => ({ weight, arbitrary: fc.constant(value) })))),
    );
  }
}
