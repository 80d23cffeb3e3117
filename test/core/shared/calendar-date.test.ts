import { addMonths, fromEpochDay, toEpochDay } from '../../../src/core/shared/calendar-date';

test('months clamp', () => {
  expect(addMonths('2024-01-31', 1)).toBe('2024-02-29');
  expect(fromEpochDay(toEpochDay('0004-02-29'))).toBe('0004-02-29');
});
