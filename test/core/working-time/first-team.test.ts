import { firstTeam } from '../../../src/core/working-time/first-team';

// Read off by hand: bit 0 is gas, bit 1 is brakes; candidates stand in the order of preference.
const of = (...candidates: [mask: number, group: number][]) =>
  candidates.map(([mask, group]) => ({ mask, group }));

test('one person who can do all', () => {
  expect(firstTeam(of([1, 0], [3, 0], [3, 0]), 1, 3, false, 1)).toEqual([1]);
});
test('nobody is in a team who is not needed', () => {
  expect(firstTeam(of([1, 0], [3, 0], [2, 0]), 2, 3, false, 1)).toEqual([0, 2]);
  expect(firstTeam(of([3, 0], [3, 0]), 2, 3, false, 1)).toBeNull();
});
test('separate people: each takes another need', () => {
  expect(firstTeam(of([3, 0], [3, 0]), 2, 3, true, 1)).toEqual([0, 1]);
  expect(firstTeam(of([1, 0], [1, 0], [3, 0]), 2, 3, true, 1)).toEqual([0, 2]);
  expect(firstTeam(of([1, 0], [1, 0], [7, 0]), 3, 7, true, 1)).toBeNull();
});
test('an equal candidate of another group is not an equal one', () => {
  expect(firstTeam(of([1, 0], [1, 1], [2, 0]), 2, 3, false, 2)).toEqual([1, 2]);
});
test('a person who can do nothing of it is no candidate', () => {
  expect(firstTeam(of([0, 0], [1, 0]), 1, 1, false, 1)).toEqual([1]);
  expect(firstTeam([], 1, 1, false, 1)).toBeNull();
});
