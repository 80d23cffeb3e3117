import { EpochDay, addMonths, fromEpochDay } from '../../../core/shared/calendar-date';
import { assert } from '../../../core/shared/assert';
import { MILE_KM } from '../../../core/shared/units-of-measure';
import { CAST } from './cast';
import { groupedBy } from './grouped-by';
import { present } from './present';
import { NamedRandom } from './named-random';
import { DemoReading } from './true-readings';

/** What went wrong when a sheet was typed in. */
export type ReadingFault =
  | 'missing-digit'
  | 'extra-digit'
  | 'transposed-digits'
  | 'miles-in-a-km-vehicle'
  | 'km-in-a-miles-vehicle'
  | 'backward'
  | 'future'
  | 'duplicate-row'
  | 'wrong-column-count'
  | 'bare-quote';

/** A reading that a mistake has to strike, and what it then says. */
export interface SpoiledReading {
  fault: ReadingFault;
  reading: DemoReading;
  /** Value as typed; the true one for faults that lie elsewhere. */
  givenValue: string;
  /** Local date as typed; the true one for faults that lie elsewhere. */
  givenOn: string;
}

// Each fault strikes a vehicle of its own, so that no explanation gets into the way of another
const FAULTS: readonly { fault: ReadingFault; where: 'latest' | 'past' }[] = [
  { fault: 'miles-in-a-km-vehicle', where: 'past' },
  { fault: 'km-in-a-miles-vehicle', where: 'past' },
  { fault: 'missing-digit', where: 'latest' },
  { fault: 'missing-digit', where: 'past' },
  { fault: 'missing-digit', where: 'past' },
  { fault: 'extra-digit', where: 'latest' },
  { fault: 'extra-digit', where: 'past' },
  { fault: 'extra-digit', where: 'past' },
  { fault: 'transposed-digits', where: 'latest' },
  { fault: 'transposed-digits', where: 'past' },
  { fault: 'transposed-digits', where: 'past' },
  { fault: 'backward', where: 'past' },
  { fault: 'future', where: 'latest' },
  { fault: 'duplicate-row', where: 'past' },
  { fault: 'wrong-column-count', where: 'past' },
  { fault: 'bare-quote', where: 'past' },
];

/** Chooses the sheet readings that mistakes strike, and makes the mistakes. */
export function spoiledReadings(
  readings: readonly DemoReading[],
  seed: number,
  today: EpochDay,
): SpoiledReading[] {
  const random = new NamedRandom(`${seed} faults`);
  const sheets = groupedBy(
    readings.filter(({ source, vehicle }) => source === 'driver-sheet' && !hasPart(vehicle.number)),
    ({ vehicle }) => vehicle.number,
  );
  const open = random.shuffled([...sheets.values()].filter((own) => own.length >= 12));
  return FAULTS.map(({ fault, where }) => {
    for (const [place, own] of open.entries()) {
      const eligible = where === 'latest' ? own.slice(-1) : random.shuffled(own.slice(4, -3));
      for (const reading of eligible) {
        const given = mistake(fault, reading, own, today);
        if (given === undefined) continue;
        open.splice(place, 1);
        return { fault, reading, ...given };
      }
    }
    assert(false, `some reading can take the fault ${fault}`);
  });
}

function hasPart(number: number): boolean {
  const parts: readonly number[] = [CAST.newInstrument, CAST.taskDoneOnLeapDay, ...CAST.nightDuty];
  return parts.includes(number) || CAST.dutyChanges.some(({ vehicle }) => vehicle === number);
}

function mistake(
  fault: ReadingFault,
  reading: DemoReading,
  own: readonly DemoReading[],
  today: EpochDay,
): { givenValue: string; givenOn: string } | undefined {
  const { value, unit } = reading;
  const givenOn = fromEpochDay(reading.day);
  const typed = (givenValue: string | undefined): { givenValue: string; givenOn: string } | undefined =>
    givenValue === undefined ? undefined : { givenValue, givenOn };
  // a mistake in a small number can pass for a true reading
  const large = Number(value) >= 20_000;
  switch (fault) {
    case 'missing-digit':
      return large ? typed(value.slice(0, 2) + value.slice(3)) : undefined;
    case 'extra-digit':
      return large ? typed(value.slice(0, 2) + value.slice(1)) : undefined;
    case 'transposed-digits':
      return large ? typed(transposed(value)) : undefined;
    case 'miles-in-a-km-vehicle':
      return large && unit === 'km' ? typed(String(Math.floor(Number(value) / MILE_KM))) : undefined;
    case 'km-in-a-miles-vehicle':
      return Number(value) >= 50_000 && unit === 'mi'
        ? typed(String(Math.floor(Number(value) * MILE_KM)))
        : undefined;
    case 'backward': {
      const before = Number(present(own[own.indexOf(reading) - 1], 'reading before').value);
      return before > 1_000 ? typed(String(before - 137)) : undefined;
    }
    case 'future': {
      // the wrong year, as happens around the new year
      const wrongOn = addMonths(givenOn, 12);
      return wrongOn > fromEpochDay(today) ? { givenValue: value, givenOn: wrongOn } : undefined;
    }
    case 'wrong-column-count':
      return large ? typed(`${value.slice(0, -3)},${value.slice(-3)}`) : undefined;
    case 'bare-quote':
      return large ? typed(`${value.slice(0, -3)}"${value.slice(-3)}`) : undefined;
    case 'duplicate-row':
      return typed(value);
  }
}

// Two neighbouring digits swapped, where that shows: far back, or further ahead than a month can take it
function transposed(value: string): string | undefined {
  for (let place = 0; place < value.length - 1; place += 1) {
    const swapped =
      value.slice(0, place) + value.charAt(place + 1) + value.charAt(place) + value.slice(place + 2);
    const difference = Number(swapped) - Number(value);
    if (swapped.charAt(0) !== '0' && (difference <= -9_000 || difference >= 60_000)) return swapped;
  }
  return undefined;
}
