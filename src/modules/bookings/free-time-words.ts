import { DateTime } from 'luxon';
import type { NothingFree, Scarcity } from '../../core/working-time/explain-nothing-free';
import type { Period } from '../../core/working-time/instant-set';
import type { Slot, Workshop } from '../../core/working-time/workshop';
import type { FreeTimeDto, NothingFreeDto } from './dto/free-times.dto';

/** Names of workshops, bays and people by their ids. */
export type NameOf = ReadonlyMap<string, string>;

export function toFreeTimeDto(slot: Slot, workshops: readonly Workshop[], nameOf: NameOf): FreeTimeDto {
  const zone = workshops.find(({ id }) => id === slot.workshopId)?.opening.zone ?? 'UTC';
  return {
    workshopId: slot.workshopId,
    workshopName: nameOf.get(slot.workshopId) ?? '',
    zone,
    bayId: slot.bayId,
    bayName: nameOf.get(slot.bayId) ?? '',
    technicians: slot.technicianIds.map((id) => ({ id, name: nameOf.get(id) ?? '' })),
    startsAt: new Date(slot.startsAt).toISOString(),
    endsAt: new Date(slot.endsAt).toISOString(),
    inWords: periodInWords(slot, zone),
    bayFromAt: new Date(slot.bayFromAt).toISOString(),
    bayUntilAt: new Date(slot.bayUntilAt).toISOString(),
    pieces: slot.pieces.map(({ startsAt, endsAt }) => ({
      startsAt: new Date(startsAt).toISOString(),
      endsAt: new Date(endsAt).toISOString(),
    })),
  };
}

/** `Tue 1 Dec 2026, 09:00 to 11:30`, on the clock of a zone; the end with its day where that is another. */
export function periodInWords({ startsAt, endsAt }: Period, zone: string): string {
  const [from, until] = [startsAt, endsAt].map((at) => DateTime.fromMillis(at, { zone, locale: 'en-GB' }));
  if (from === undefined || until === undefined) return '';
  const day = 'ccc d LLL yyyy';
  const end = from.hasSame(until, 'day') ? until.toFormat('HH:mm') : until.toFormat(`${day}, HH:mm`);
  return `${from.toFormat(`${day}, HH:mm`)} to ${end}`;
}

export function toNothingFreeDto(
  nothingFree: NothingFree | null,
  workshops: readonly Workshop[],
  nameOf: NameOf,
): NothingFreeDto | null {
  if (nothingFree === null) return null;
  const { scarcest, remedies, firstFit, searchedUntilAt } = nothingFree;
  return {
    scarcest: scarcest.kind,
    sentence: scarcitySentence(scarcest),
    remedies: remedies.map(({ scarcity, starts, firstStartsAt }) => ({
      scarcity: scarcity.kind,
      sentence: remedySentence(scarcity),
      starts,
      firstStartsAt: new Date(firstStartsAt).toISOString(),
    })),
    firstFit: firstFit === null ? null : toFreeTimeDto(firstFit, workshops, nameOf),
    searchedUntilAt: new Date(searchedUntilAt).toISOString(),
  };
}

function scarcitySentence(scarcity: Scarcity): string {
  switch (scarcity.kind) {
    case 'competence':
      return `Nobody with the competence ${scarcity.competence} is free when all the rest is.`;
    case 'bay-kind':
      return scarcity.bayKinds.length === 0
        ? 'No bay is free when the people are.'
        : `No bay for ${scarcity.bayKinds.join(' and ')} is free when the people are.`;
    case 'technicians':
      return 'There are not enough people free when a bay is.';
    case 'vehicle':
      return 'The vehicle is booked elsewhere when a bay and people are free.';
    case 'opening':
      return 'The workshops are shut in all of that time.';
    case 'job-length':
      return scarcity.against === 'opening'
        ? `The work is longer than the workshop is open at a stretch; ${scarcity.longestMinutes} minutes would fit.`
        : `No gap between the bookings is long enough; ${scarcity.longestMinutes} minutes would fit.`;
    case 'combination':
      return 'Several things are short at once: no single one of them would be enough.';
  }
}

function remedySentence(scarcity: Scarcity): string {
  switch (scarcity.kind) {
    case 'competence':
      return `One more person with the competence ${scarcity.competence}.`;
    case 'bay-kind':
      return 'One more bay of that kind.';
    case 'technicians':
      return 'More people on shift.';
    case 'vehicle':
      return 'The vehicle at another time than its other booking.';
    case 'opening':
      return 'Longer opening hours.';
    case 'job-length':
      return 'A shorter job, done in parts.';
    case 'combination':
      return 'More of several things at once.';
  }
}
