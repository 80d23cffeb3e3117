import { differences } from '../../../src/desk/pages/administration/audit/difference';
import { notedHeads } from '../../../src/desk/pages/administration/audit/heads';

it('names the smallest parts that became different', () => {
  const before = { name: 'Lift 1', kinds: ['lift'], revision: 1, hours: { monday: '8-12', tuesday: '8-12' } };
  const after = { name: 'Lift 1', kinds: ['flat'], revision: 2, hours: { monday: '8-12', tuesday: '8-17' } };
  expect(differences(before, after)).toEqual([
    { place: 'kinds / 1', before: 'lift', after: 'flat' },
    { place: 'hours / tuesday', before: '8-12', after: '8-17' },
  ]);
});

it('shows a list that became longer as a whole', () => {
  expect(differences({ kinds: ['lift'] }, { kinds: ['lift', 'flat'] })).toEqual([
    { place: 'kinds', before: ['lift'], after: ['lift', 'flat'] },
  ]);
});

it('reads a record that was made, or deleted, field by field', () => {
  expect(differences(null, { name: 'Wren' })).toEqual([{ place: 'name', before: undefined, after: 'Wren' }]);
  expect(differences({ name: 'Wren' }, null)).toEqual([{ place: 'name', before: 'Wren', after: undefined }]);
});

const HASH = 'ab'.repeat(32);

it('reads heads as they were saved, and as they are noted on paper', () => {
  const line = JSON.stringify({ organisationId: 'x', position: 12, hash: HASH, sealedAt: null });
  expect(notedHeads(`${line}\r\n\n13 ${HASH.toUpperCase()}\n`)).toEqual({
    heads: [
      { position: 12, hash: HASH },
      { position: 13, hash: HASH },
    ],
  });
});

it.each(['12', `12 ${HASH}f`, '{"position":12}', `{"position":"12","hash":"${HASH}"}`])(
  'names the line of what is no head: %s',
  (line) => expect(notedHeads(`13 ${HASH}\n${line}`)).toEqual({ badLine: 2 }),
);
