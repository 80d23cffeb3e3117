import { printJobSheet } from '../../../src/modules/job-sheets/print-job-sheet';
import { sheetOf, workOn } from './made-sheets';

const HOSTILE = `<script>alert("1")</script> & 'more'`;
const PAGE = printJobSheet({
  sheet: sheetOf([
    workOn('fluid-change', {
      title: HOSTILE,
      competences: ['hydraulics', HOSTILE],
      consumables: [{ item: HOSTILE, quantity: 5, unit: 'l' }],
    }),
    workOn('anti-sink-hold-test', { title: HOSTILE }),
  ]),
  registrationMark: HOSTILE,
  fleetNumber: HOSTILE,
  workshop: HOSTILE,
  zone: 'Europe/London',
  bay: HOSTILE,
  technicians: [HOSTILE],
  startsAt: Date.parse('2026-07-01T08:00:00Z'),
  endsAt: Date.parse('2026-07-01T10:30:00Z'),
  note: HOSTILE,
});

test('nothing that people typed is more than text', () => {
  expect(PAGE).not.toMatch(/<script|alert\("|& 'more/);
  // title, mark, fleet number, workshop, bay, technician, note, two steps, item and competence
  expect(PAGE.split('&#60;script&#62;').length - 1).toBeGreaterThanOrEqual(11);
});

test('it needs nothing from elsewhere', () => {
  expect(PAGE).not.toMatch(/https?:|src=|href=|@import|url\(/);
});

test('it shows the cautions before the steps, on the clock of the workshop, with the checks and the sign-off', () => {
  expect(PAGE.indexOf('This software advises')).toBeGreaterThan(0);
  expect(PAGE.indexOf('This software advises')).toBeLessThan(PAGE.indexOf('<h2>Steps</h2>'));
  expect(PAGE).toContain('Wed 1 Jul 2026, 09:00');
  expect(PAGE).toContain('between 80 and 100 bar');
  expect(PAGE).toContain('(safety-critical, before release)');
  expect(PAGE).toContain('released / held');
});
