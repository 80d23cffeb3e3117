import type { Schemas } from '../../../api/client';
import { requiredNumber, shownNumber, textOrNull } from '../parts/typed';
import { shownExceptions, shownWeek, typedExceptions, typedWeek } from './hours';

export type Workshop = Schemas['WorkshopDto'];

/** What the form of a workshop holds. */
export function workshopValuesOf(workshop: Workshop | null, zone: string) {
  return {
    name: workshop?.name ?? '',
    externalKey: workshop?.externalKey ?? '',
    zone: workshop?.zone ?? zone,
    weeklyHours: shownWeek(workshop?.weeklyHours ?? []),
    dayExceptions: shownExceptions(workshop?.dayExceptions ?? []),
    holidayRegion: workshop?.holidayRegion ?? '',
    vehicleStay: workshop?.vehicleStay ?? 'over-breaks',
    minutesBefore: shownNumber(workshop?.minutesBefore ?? 0),
    minutesAfter: shownNumber(workshop?.minutesAfter ?? 0),
    gridMinutes: shownNumber(workshop?.gridMinutes ?? 15),
    signOffCompetence: workshop?.signOffCompetence ?? '',
    retiredOn: workshop?.retiredOn ?? '',
  };
}
export type WorkshopValues = ReturnType<typeof workshopValuesOf>;

/** What is sent of it. @throws TypedFault where hours cannot be read */
export function workshopBodyOf(values: WorkshopValues, locale: string) {
  return {
    name: values.name,
    externalKey: textOrNull(values.externalKey),
    zone: values.zone,
    weeklyHours: typedWeek(values.weeklyHours, 'weeklyHours'),
    dayExceptions: typedExceptions(values.dayExceptions, 'dayExceptions'),
    holidayRegion: textOrNull(values.holidayRegion),
    vehicleStay: values.vehicleStay,
    minutesBefore: requiredNumber(values.minutesBefore, locale),
    minutesAfter: requiredNumber(values.minutesAfter, locale),
    gridMinutes: requiredNumber(values.gridMinutes, locale),
    signOffCompetence: textOrNull(values.signOffCompetence),
    retiredOn: textOrNull(values.retiredOn),
  };
}
