import { useMutation, useQuery } from '@tanstack/react-query';
import { useForm, useWatch } from 'react-hook-form';
import { answered, api, type Schemas } from '../../api/client';
import { faultDetail } from '../../api/problem';
import { Button } from '../../design/button';
import { SelectField, TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { nowAsTyped, instantOf } from '../../format/days';
import { positionWords } from '../../format/words';
import { useReader } from '../../session/session';
import { depotsQuery, vehicleQueries } from '../vehicles/vehicle-queries';
import { useUnitChanged, vehicleByMark } from './unit-queries';

type Destination = Schemas['DestinationDto'];

interface Move {
  state: Destination['state'];
  mark: string;
  position: string;
  displaced: 'refuse' | 'on-the-shelf' | 'away-for-recharge';
  depotId: string;
  awayWith: string;
  at: string;
  movedBy: string;
  note: string;
}

/** Records that the unit went somewhere else: onto a shelf, away for recharge, into a vehicle, or to scrap. */
export function MoveUnit({ gasUnitId, zone }: { gasUnitId: string; zone: string }) {
  const { session } = useReader();
  const changed = useUnitChanged(gasUnitId);
  const { data: depots = [] } = useQuery(depotsQuery);
  const defaults: Move = {
    state: 'on-the-shelf',
    mark: '',
    position: '',
    displaced: 'refuse',
    depotId: '',
    awayWith: '',
    at: nowAsTyped(zone),
    movedBy: session.person.name,
    note: '',
  };
  const { register, handleSubmit, reset, control, formState } = useForm<Move>({ defaultValues: defaults });
  const [state, mark] = useWatch({ control, name: ['state', 'mark'] });
  const { data: vehicle } = useQuery({ ...vehicleByMark(mark), enabled: mark.trim() !== '' });
  const { data: positions } = useQuery({
    ...vehicleQueries(vehicle?.id ?? '').positions,
    enabled: vehicle !== undefined && vehicle !== null,
  });
  const move = useMutation({
    mutationFn: (input: Move) =>
      answered(
        api.POST('/v1/unit-moves', {
          body: {
            at: instantOf(input.at, zone),
            movedBy: input.movedBy,
            moves: [
              {
                gasUnitId,
                to: destinationOf(input, vehicle?.id ?? null),
                note: input.note.trim() === '' ? null : input.note,
              },
            ],
            ...(input.state === 'fitted' && input.displaced !== 'refuse'
              ? { displaced: input.displaced }
              : {}),
          },
        }),
      ),
    onSuccess: async () => {
      reset({ ...defaults, at: nowAsTyped(zone) });
      await changed();
    },
  });
  const faultAt = (field: string) => faultDetail(move.error, `#/moves/0/to/${field}`);
  return (
    <details className="sheet screen-only">
      <summary>Move the unit</summary>
      <form className="stack" onSubmit={(event) => void handleSubmit((input) => move.mutate(input))(event)}>
        <div className="columns">
          <SelectField label="It went" {...register('state')}>
            <option value="on-the-shelf">onto a shelf</option>
            <option value="away-for-recharge">away for recharge</option>
            <option value="fitted">into a vehicle</option>
            <option value="scrapped">to scrap</option>
          </SelectField>
          {state === 'on-the-shelf' ? (
            <SelectField label="Shelf of" fault={faultAt('depotId')} {...register('depotId')}>
              <option value="">no depot in particular</option>
              {depots.map(({ id, name }) => (
                <option key={id} value={id}>
                  {name}
                </option>
              ))}
            </SelectField>
          ) : null}
          {state === 'away-for-recharge' ? (
            <TextField
              label="With whom"
              maxLength={200}
              fault={faultAt('awayWith')}
              {...register('awayWith')}
            />
          ) : null}
          {state === 'fitted' ? (
            <>
              <TextField
                label="Registration mark"
                autoComplete="off"
                fault={formState.errors.mark?.message ?? faultAt('vehicleId')}
                {...register('mark', {
                  validate: () =>
                    (vehicle !== undefined && vehicle !== null) ||
                    'No vehicle has this mark. Type the whole of it.',
                })}
              />
              <SelectField
                label="Position"
                fault={formState.errors.position?.message ?? faultAt('position')}
                {...register('position', {
                  validate: (position) => position !== '' || 'Choose where it was fitted.',
                })}
              >
                <option value="">{positions === undefined ? 'enter the mark first' : 'choose'}</option>
                {(positions?.items ?? []).map(({ position }) => (
                  <option key={position} value={position}>
                    {positionWords(position)}
                  </option>
                ))}
              </SelectField>
              <SelectField label="A unit that sits there" {...register('displaced')}>
                <option value="refuse">there is none</option>
                <option value="on-the-shelf">went onto the shelf</option>
                <option value="away-for-recharge">went away for recharge</option>
              </SelectField>
            </>
          ) : null}
          <TextField
            label="When"
            type="datetime-local"
            required
            hint={`Local time (${zone})`}
            fault={faultDetail(move.error, '#/at')}
            {...register('at')}
          />
          <TextField label="Moved by" required maxLength={200} {...register('movedBy')} />
          <TextField label="Note" maxLength={500} {...register('note')} />
        </div>
        {state === 'scrapped' ? (
          <Notice tone="warn" title="Release the gas before it leaves the house">
            <p>It is a pressure vessel to its end. Local law says how, and who may do it.</p>
          </Notice>
        ) : null}
        <ProblemNotice error={move.error} />
        {move.data === undefined ? null : (
          <Notice tone={move.data.warnings.length > 0 ? 'warn' : 'good'} title="Recorded" live>
            {move.data.warnings.map((warning) => (
              <p key={warning}>{warning}</p>
            ))}
          </Notice>
        )}
        <div className="row">
          <Button kind="main" type="submit" busy={move.isPending}>
            Record the move
          </Button>
        </div>
      </form>
    </details>
  );
}

function destinationOf({ state, position, depotId, awayWith }: Move, vehicleId: string | null): Destination {
  switch (state) {
    case 'fitted':
      return { state, vehicleId, position };
    case 'on-the-shelf':
      return { state, depotId: depotId === '' ? null : depotId };
    case 'away-for-recharge':
      return { state, awayWith: awayWith.trim() === '' ? null : awayWith };
    case 'scrapped':
      return { state };
  }
}
