import { lineOf, pointerLines } from '../../../src/desk/pages/administration/programmes/pointer-lines';

const TEXT = `{
  "code": "a, {b}: \\"c\\"",
  "positions": ["front", "rear"],
  "tolerance":
    { "earlyDays": 30,
      "lateDays": -1 },
  "a/b": [
    1,
    { "deep": null }
  ]
}`;

it('knows the line of every value, whatever stands in texts and however it is laid out', () => {
  expect(Object.fromEntries(pointerLines(TEXT))).toEqual({
    '': 1,
    code: 2,
    positions: 3,
    'positions/0': 3,
    'positions/1': 3,
    tolerance: 4,
    'tolerance/earlyDays': 5,
    'tolerance/lateDays': 6,
    'a~1b': 7,
    'a~1b/0': 8,
    'a~1b/1': 9,
    'a~1b/1/deep': 9,
  });
});

it('points at what a missing value would be a part of', () => {
  const lines = pointerLines(TEXT);
  expect(lineOf(lines, 'tolerance/earlyKm')).toBe(4);
  expect(lineOf(lines, 'task')).toBe(1);
});
