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

/** Marks, numbers and serial numbers are compared without spaces, in capitals. */
export const plain = (text: string): string => text.replace(/\s+/g, '').toUpperCase();

/** What was found, vehicles first; what begins with the text, or is the text, before what only has it in it. */
export function foundOf(
  typed: string,
  { vehicles, gasUnits }: { vehicles: readonly Vehicle[]; gasUnits: readonly GasUnit[] },
): Found[] {
  const part = plain(typed);
  const closeness = ({ registrationMark, fleetNumber }: Vehicle): number => {
    const marks = [registrationMark, fleetNumber ?? ''].map(plain);
    return marks.includes(part) ? 0 : marks.some((mark) => mark.startsWith(part)) ? 1 : 2;
  };
  return [
    ...[...vehicles].sort((a, b) => closeness(a) - closeness(b)).map(ofVehicle),
    ...gasUnits.map(ofUnit),
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
