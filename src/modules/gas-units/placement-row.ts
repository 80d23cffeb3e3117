import type { UnitPlacementState } from '../../core/hydraulics/unit-positions';

/** A placement as it is read, with what names its unit and its vehicle to people. */
export interface PlacementRow {
  id: string;
  unitId: string;
  serialNumber: string;
  unitTypeId: string;
  unitTypeCode: string;
  state: UnitPlacementState;
  vehicleId: string | null;
  registrationMark: string | null;
  position: string | null;
  depotId: string | null;
  awayWith: string | null;
  fromAt: Date;
  untilAt: Date | null;
  vehicleTotalKmFrom: number | null;
  vehicleTotalKmUntil: number | null;
  movedBy: string;
  note: string | null;
  externalKey: string | null;
  recordedAt: Date;
  /** that of the unit, which counts its moves too */
  revision: number;
}

type Place = Pick<PlacementRow, 'state' | 'vehicleId' | 'registrationMark' | 'position' | 'depotId'>;

/** A place in words: "fitted to TVP 101 at suspension-front-left". */
export function placeInWords({ state, vehicleId, registrationMark, position, depotId }: Place): string {
  switch (state) {
    case 'fitted':
      return `fitted to ${registrationMark ?? `vehicle ${vehicleId ?? ''}`} at ${position ?? ''}`;
    case 'on-the-shelf':
      return depotId === null ? 'on the shelf' : `on the shelf of depot ${depotId}`;
    case 'away-for-recharge':
      return 'away for recharge';
    case 'scrapped':
      return 'scrapped';
  }
}
