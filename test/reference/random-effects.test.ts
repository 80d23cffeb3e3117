import { randomEffects } from '../../src/core/precharge/random-effects';

// Thirteen trials of BCG vaccine against tuberculosis: cases and non-cases among the vaccinated, then among the
// controls. G. A. Colditz et al., JAMA 271 (1994), 698-702. The summary is that of the R package metafor
// (W. Viechtbauer, J. Statist. Software 36 (2010), no. 3), method DL.
const TRIALS = [
  [4, 119, 11, 128],
  [6, 300, 29, 274],
  [3, 228, 11, 209],
  [62, 13_536, 248, 12_619],
  [33, 5_036, 47, 5_761],
  [180, 1_361, 372, 1_079],
  [8, 2_537, 10, 619],
  [505, 87_886, 499, 87_892],
  [29, 7_470, 45, 7_232],
  [17, 1_699, 65, 1_600],
  [186, 50_448, 141, 27_197],
  [5, 2_493, 3, 2_338],
  [27, 16_886, 29, 17_825],
] as const;

test('DerSimonian-Laird summary of the log risk ratios of the BCG trials', () => {
  const studies = TRIALS.map(([cases, others, controlCases, controlOthers]) => {
    const [treated, control] = [cases + others, controlCases + controlOthers];
    return {
      value: Math.log(cases / treated / (controlCases / control)),
      variance: 1 / cases - 1 / treated + 1 / controlCases - 1 / control,
    };
  });
  const summary = randomEffects(studies);
  expect(summary.betweenVariance.toFixed(4)).toBe('0.3088');
  expect(summary.mean.toFixed(4)).toBe('-0.7141');
  expect(summary.standardError.toFixed(4)).toBe('0.1787');
  expect(summary.q.toFixed(4)).toBe('152.2330');
  expect(summary.degreesOfFreedom).toBe(12);
});

test('sources that agree better than their errors have nothing between them', () => {
  const summary = randomEffects([
    { value: 1, variance: 1 },
    { value: 1.1, variance: 1 },
    { value: 0.9, variance: 2 },
  ]);
  expect(summary.betweenVariance).toBe(0);
  expect(summary.standardError).toBeCloseTo(Math.sqrt(1 / 2.5), 12);
});

test('one source, or one without an error, is refused', () => {
  expect(() => randomEffects([{ value: 1, variance: 1 }])).toThrow('too few');
  expect(() =>
    randomEffects([
      { value: 1, variance: 1 },
      { value: 1, variance: 0 },
    ]),
  ).toThrow();
});
