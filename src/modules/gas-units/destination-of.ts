import type { UnitPlacementState } from '../../core/hydraulics/unit-positions';
import type { DestinationDto } from './dto/unit-move.dto';
import type { Destination, MoveFault } from './plan-unit-moves';

type Detail = 'vehicleId' | 'position' | 'depotId' | 'awayWith' | 'vehicleTotalKm';

const NEEDED: Readonly<Record<UnitPlacementState, readonly Detail[]>> = {
  fitted: ['vehicleId', 'position'],
  'on-the-shelf': [],
  'away-for-recharge': [],
  scrapped: [],
};

const ALLOWED: Readonly<Record<UnitPlacementState, readonly Detail[]>> = {
  fitted: ['vehicleId', 'position', 'vehicleTotalKm'],
  'on-the-shelf': ['depotId'],
  'away-for-recharge': ['awayWith'],
  scrapped: [],
};

const DETAILS: readonly Detail[] = ['vehicleId', 'position', 'depotId', 'awayWith', 'vehicleTotalKm'];

/** A destination with every field decided, and what of it does not go with its state. */
export function destinationOf(
  body: Partial<Pick<DestinationDto, Detail>> & Pick<DestinationDto, 'state'>,
  pointer: string,
): { to: Destination; faults: MoveFault[] } {
  const { state } = body;
  const to: Destination = {
    state,
    vehicleId: body.vehicleId ?? null,
    position: body.position ?? null,
    depotId: body.depotId ?? null,
    awayWith: body.awayWith ?? null,
    vehicleTotalKm: body.vehicleTotalKm ?? null,
  };
  const faults = DETAILS.flatMap((detail): MoveFault[] => {
    const given = to[detail] !== null;
    if (!given && NEEDED[state].includes(detail)) {
      const words = `A unit that is ${state} needs ${detail}.`;
      return [faultAt(`${pointer}/${detail}`, words, `give ${detail}, or another state`)];
    }
    if (given && !ALLOWED[state].includes(detail)) {
      const words = `A unit that is ${state} has no ${detail}.`;
      return [faultAt(`${pointer}/${detail}`, words, `leave ${detail} out, or give another state`)];
    }
    return [];
  });
  return { to, faults };
}

const faultAt = (pointer: string, detail: string, remedy: string): MoveFault => ({
  kind: 'invalid',
  field: { pointer, detail, remedy },
});
