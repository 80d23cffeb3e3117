import { changedFields, mergeChanges } from '../../../src/desk/pages/administration/parts/three-way';

const base = { name: 'Tarnholme', zone: 'Europe/London', minutes: '15' };

it('keeps what was typed here and takes over everything else that became different', () => {
  const mine = { ...base, name: 'Tarnholme workshop' };
  const theirs = { ...base, minutes: '30' };
  expect(mergeChanges(base, mine, theirs)).toEqual({
    values: { name: 'Tarnholme workshop', zone: 'Europe/London', minutes: '30' },
    theirChanges: [{ key: 'minutes', was: '15', theirs: '30', mine: '15', bothChanged: false }],
  });
});

it('says where both changed the same field, and keeps mine', () => {
  const { values, theirChanges } = mergeChanges(base, { ...base, name: 'A' }, { ...base, name: 'B' });
  expect(values.name).toBe('A');
  expect(theirChanges).toEqual([
    { key: 'name', was: 'Tarnholme', theirs: 'B', mine: 'A', bothChanged: true },
  ]);
});

it('does not call it a conflict where both entered the same', () => {
  const both = { ...base, name: 'C' };
  expect(mergeChanges(base, both, both).theirChanges).toMatchObject([{ key: 'name', bothChanged: false }]);
});

it('sends the fields alone that are different, lists by what is in them', () => {
  expect(changedFields({ a: 1, kinds: ['lift'], gone: null }, { a: 1, kinds: ['lift'], gone: null })).toEqual(
    {},
  );
  expect(changedFields({ a: 1, kinds: ['lift'] }, { a: 2, kinds: ['lift', 'flat'] })).toEqual({
    a: 2,
    kinds: ['lift', 'flat'],
  });
});
