import { UNIT_POSITIONS, type UnitPosition } from '../../../../core/hydraulics/unit-positions';
import { positionWords } from '../../../format/words';
import { PLACES, placePorts, portsOf, unitBox } from './places';
import { CERTAINTY_WORDS, linesFor, type Box, type Certainty, type DrawnUnit, type Part } from './scheme';
import { NONE_ON_RECORD } from './unit-condition';

const PER_ROW = 6;
const GAP = 18;

/** The gas unit at a position of the layout, or the place where one belongs. */
export function unitPart(
  position: UnitPosition,
  units: readonly DrawnUnit[],
  { certainty = 'seen', missing = false }: { certainty?: Certainty; missing?: boolean } = {},
): Part {
  const unit = units.find((each) => each.position === position) ?? noUnitAt(position);
  return drawn(unit, PLACES.boxes[position], placePorts(position), certainty, missing);
}

/** Units at positions that the operator has added: how they are connected is not on record, so they stand apart. */
export function ownPositions(units: readonly DrawnUnit[]): Part[] {
  const own = units.filter(({ position }) => !UNIT_POSITIONS.some((each) => each === position));
  return own.map((unit, index) => {
    const { width, height } = unitBox(0, 0);
    const x = 25 + (index % PER_ROW) * (width + GAP);
    const y = PLACES.ownPositionsFromY + Math.floor(index / PER_ROW) * (height + GAP);
    const box = { x, y, width, height };
    return drawn(unit, box, portsOf(box), 'seen', false);
  });
}

function drawn(
  unit: DrawnUnit,
  box: Box,
  ports: Part['ports'],
  certainty: Certainty,
  missing: boolean,
): Part {
  const name = positionWords(unit.position);
  const sure = CERTAINTY_WORDS[certainty];
  const state = missing && unit.gasUnitId === null ? 'not fitted: needed here' : unit.condition.words;
  // what somebody established stands before what the record of units says
  const notes = [unit.serialNumber, state, unit.precharge, sure].filter((each) => each !== null);
  const lines = linesFor(name, notes, box.width);
  return { id: unit.position, symbol: 'gas-unit', box, name, notes, lines, certainty, ports, unit, missing };
}

const noUnitAt = (position: string): DrawnUnit => ({
  position,
  gasUnitId: null,
  serialNumber: null,
  condition: NONE_ON_RECORD,
  precharge: null,
});
