import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import { placeInWords, type PlacementRow } from './placement-row';
import type { MoveFault } from './plan-unit-moves';

/** One refusal for all that is wrong; nothing was stored. What is wrong by itself comes first. */
export function refusedMoves(faults: readonly MoveFault[]): CodedError {
  const invalid = faults.filter(({ kind }) => kind === 'invalid').map(({ field }) => field);
  const conflicts = faults.filter(({ kind }) => kind === 'conflict').map(({ field }) => field);
  const fields = [...invalid, ...conflicts];
  const summary =
    fields.length === 1
      ? (fields[0]?.detail ?? '')
      : `Nothing was moved: ${fields.length} things do not fit together.`;
  return new CodedError(invalid.length > 0 ? 'validation-failed' : 'state-conflict', summary, fields);
}

/** Somebody moved the unit between this request's first look and its turn. */
export function movedMeanwhile(pointer: string, present: PlacementRow | undefined): MoveFault {
  const detail =
    present === undefined
      ? 'Somebody took the record of its place back just now.'
      : `Somebody moved unit ${present.serialNumber} just now: it is ${placeInWords(present)} since ${present.fromAt.toISOString()}.`;
  const remedy = 'look where the unit really is, and record the move from there';
  return { kind: 'conflict', field: { pointer, detail, remedy } };
}

/** The database's own guards; the plan finds everything that these would, so they only speak in a race. */
export const placementGuards = {
  unit_placements_unit_in_one_place: () =>
    new CodedError('state-conflict', 'A unit would have been in two places at once.', [
      {
        pointer: '#/moves',
        detail: 'Somebody recorded another place of one of the units for that time.',
        remedy: 'read where the units are and send the moves again',
      },
    ]),
  unit_placements_position_has_one_unit: () =>
    new CodedError('state-conflict', 'A position would have held two units at once.', [
      {
        pointer: '#/moves',
        detail: 'Somebody recorded another unit at one of the positions for that time.',
        remedy: 'read which units the vehicle has and send the moves again',
      },
    ]),
};

export function notTheLatest({ serialNumber, untilAt }: PlacementRow, latest: PlacementRow): CodedError {
  return new CodedError(
    'state-conflict',
    `Unit ${serialNumber} was moved on${untilAt === null ? '' : ` at ${untilAt.toISOString()}`}: it is ` +
      `${placeInWords(latest)} now. Only its latest move can be taken back.`,
  );
}

export function firstPlace({ serialNumber }: PlacementRow): CodedError {
  return new CodedError(
    'state-conflict',
    `It is the first place of unit ${serialNumber} on record; without it the unit would be nowhere. Move it instead.`,
  );
}

export function gapBefore({ serialNumber, fromAt }: PlacementRow): CodedError {
  return new CodedError(
    'state-conflict',
    `Nobody recorded where unit ${serialNumber} was just before ${fromAt.toISOString()}; move it instead.`,
  );
}

export function placeTakenSince(previous: PlacementRow, holder: PlacementRow): CodedError {
  return new CodedError(
    'state-conflict',
    `Unit ${previous.serialNumber} was ${placeInWords(previous)}, where unit ${holder.serialNumber} is recorded since ` +
      `${holder.fromAt.toISOString()}. Take that move back first.`,
  );
}

export function testedSince({ serialNumber }: PlacementRow, doneAt: Date): CodedError {
  return new CodedError(
    'state-conflict',
    `Unit ${serialNumber} was tested or charged at ${doneAt.toISOString()} in the place that would be taken back. ` +
      'Void that record first if it is wrong as well.',
  );
}

/** The refusal of a move as that of a preview: its fields are parameters, and nothing else could be sent. */
export function asParameters(error: CodedError): CodedError {
  const fields = error.fields.map(({ pointer = '', detail, remedy }): FieldError => {
    const name = pointer.split('/').at(-1) ?? '';
    return { parameter: name === 'vehicleId' || name === 'position' ? name : 'gasUnitId', detail, remedy };
  });
  return new CodedError('validation-failed', error.detail, fields);
}
