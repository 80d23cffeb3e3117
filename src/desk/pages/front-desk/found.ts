import type { Schemas } from '../../api/client';
import { codeWords } from './visit-tasks';

/** Something that a caller may have read out, and where it leads. */
export interface Found {
  id: string;
  /** the vehicle itself, or the one that the unit is fitted to; null for a unit that is on none */
  vehicleId: string | null;
  gasUnitId: string | null;
  name: string;
  about: string;
}

type Vehicle = Pick<Schemas['VehicleDto'], 'id' | 'registrationMark' | 'fleetNumber' | 'vin'>;
type GasUnit = Pick<Schemas['GasUnitDto'], 'id' | 'serialNumber'> & {
  place: Pick<Schemas['UnitPlacementDto'], 'state' | 'vehicleId' | 'registrationMark' | 'position'> | null;
};

const MOST_OF_A_KIND = 8;

/** Marks, numbers and serial numbers are compared without spaces, in capitals. */
export const plain = (text: string): string => text.replace(/\s+/g, '').toUpperCase();

/**
 * The first of what was found, vehicles before units. A mark or fleet number that is the text comes first, then one that begins
 * with it, one that has it in it, and last who has it in nothing but the VIN, where any two figures stand somewhere.
 */
export function foundOf(
  typed: string,
  { vehicles, gasUnits }: { vehicles: readonly Vehicle[]; gasUnits: readonly GasUnit[] },
): Found[] {
  const part = plain(typed);
  const closeness = ({ registrationMark, fleetNumber }: Vehicle): number => {
    const marks = [registrationMark, fleetNumber ?? ''].map(plain);
    if (marks.includes(part)) return 0;
    if (marks.some((mark) => mark.startsWith(part))) return 1;
    return marks.some((mark) => mark.includes(part)) ? 2 : 3;
  };
  return [
    ...[...vehicles]
      .sort((a, b) => closeness(a) - closeness(b))
      .slice(0, MOST_OF_A_KIND)
      .map(ofVehicle),
    ...gasUnits.slice(0, MOST_OF_A_KIND).map(ofUnit),
  ];
}

function ofVehicle({ id, registrationMark, fleetNumber, vin }: Vehicle): Found {
  const about = [fleetNumber === null ? '' : `fleet number ${fleetNumber}`, vin === null ? '' : `VIN ${vin}`];
  return {
    id,
    vehicleId: id,
    gasUnitId: null,
    name: registrationMark,
    about: about.filter((each) => each !== '').join(', '),
  };
}

const ELSEWHERE = {
  'on-the-shelf': 'on the shelf, on no vehicle',
  'away-for-recharge': 'away for recharge, on no vehicle',
  scrapped: 'scrapped',
} as const;

function ofUnit({ id, serialNumber, place }: GasUnit): Found {
  return {
    id,
    vehicleId: place?.vehicleId ?? null,
    gasUnitId: id,
    name: serialNumber,
    about: `gas unit, ${whereabouts(place)}`,
  };
}

function whereabouts(place: GasUnit['place']): string {
  if (place === null) return 'nobody recorded where it is';
  if (place.state !== 'fitted') return ELSEWHERE[place.state];
  return `${codeWords(place.position ?? '')} of ${place.registrationMark ?? 'a vehicle'}`;
}
