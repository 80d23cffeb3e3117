import { comesFirst, settles, type RelatedItem } from '../../../src/core/visit/goes-together';

const item = (
  key: string,
  position: string | null,
  more: Partial<Pick<RelatedItem, 'task' | 'doBefore' | 'satisfies'>> = {},
): RelatedItem => ({ key, task: key, position, doBefore: [], satisfies: [], ...more });

const [LEFT, RIGHT] = ['suspension-front-left', 'suspension-front-right'];

// the same as in what a completion settles when due items are computed
test.each<[string, RelatedItem, RelatedItem, boolean]>([
  ['itself', item('a', LEFT), item('a', LEFT), true],
  ['its task by another rule', item('a', null), item('b', null, { task: 'a' }), true],
  ['its task at a position, done on the vehicle', item('a', null), item('b', LEFT, { task: 'a' }), true],
  ['its task on the vehicle, done at a position', item('a', LEFT), item('b', null, { task: 'a' }), true],
  ['its task at another position', item('a', LEFT), item('b', RIGHT, { task: 'a' }), false],
  ['what it satisfies there', item('a', LEFT, { satisfies: ['b'] }), item('b', LEFT), true],
  ['what it satisfies at another position', item('a', LEFT, { satisfies: ['b'] }), item('b', RIGHT), false],
  [
    'what it satisfies on the vehicle, done at a position',
    item('a', LEFT, { satisfies: ['b'] }),
    item('b', null),
    false,
  ],
  [
    'what it satisfies at a position, done on the vehicle',
    item('a', null, { satisfies: ['b'] }),
    item('b', LEFT),
    true,
  ],
  ['anything else', item('a', null), item('b', null, { satisfies: ['a'] }), false],
])('work settles %s', (_, done, other, expected) => {
  expect(settles(done, other)).toBe(expected);
});

test('what comes first comes along, and what comes before that, at the same place', () => {
  const last = item('last', LEFT, { doBefore: ['second'] });
  const second = item('second', LEFT, { doBefore: ['first'] });
  const elsewhere = item('second@right', RIGHT, { task: 'second' });
  const first = item('first', null, { doBefore: ['done long ago'] });
  const open = [first, elsewhere, second, last, item('other', LEFT)];
  expect(comesFirst(last, open)).toEqual([last, second, first]);
  expect(comesFirst(first, open)).toEqual([first]);
  // work on the whole vehicle waits for every position
  expect(comesFirst(item('all', null, { doBefore: ['second'] }), open).map(({ key }) => key)).toEqual([
    'all',
    'second@right',
    'second',
    'first',
  ]);
});
