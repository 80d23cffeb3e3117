import type { EffectiveLayout } from '../../../../core/hydraulics/layout-conclusions';
import { certaintyOf, type Certainty, type End, type Part, type Pipe, type Point } from './scheme';

type Way = 'straight' | 'down-first' | 'across-first';

/** The pipes between the parts that there are. A pipe to a part that is not there is not drawn. */
export function joinParts(parts: readonly Part[], { layout, basis }: EffectiveLayout): Pipe[] {
  const has = (id: string): boolean => parts.some((each) => each.id === id);
  const pipe = (from: string, to: string, way: Way = 'straight', certainty: Certainty = 'seen'): Pipe => {
    const [start, end] = [endOf(from), endOf(to)];
    const [a, b] = [pointOf(parts, start), pointOf(parts, end)];
    const corner = way === 'straight' ? [] : [way === 'down-first' ? { x: a.x, y: b.y } : { x: b.x, y: a.y }];
    return { from: start, to: end, points: [a, ...corner, b], certainty };
  };

  const supply = [
    pipe('reservoir.right', 'pump.left'),
    pipe('pump.right', 'regulator.left'),
    pipe('regulator.right', 'supply.here'),
    pipe('supply.here', 'main-accumulator.bottom'),
    ...(has('shared-supply')
      ? [pipe('supply.here', 'shared-supply.here'), pipe('shared-supply.here', 'safety-valve.left')]
      : [pipe('supply.here', 'safety-valve.left')]),
    pipe('safety-valve.right', 'front-brakes.left'),
    pipe('safety-valve.bottom', 'suspension-supply.here', 'down-first'),
    pipe('suspension-supply.here', 'front-corrector.top', 'across-first'),
    pipe('suspension-supply.here', 'rear-corrector.top'),
  ];

  const frontSuspension = has('front-anti-sink')
    ? [
        pipe('front-corrector.bottom', 'front-anti-sink.top'),
        pipe('front-anti-sink.bottom', 'front-suspension.here'),
      ]
    : [pipe('front-corrector.bottom', 'front-suspension.here')];
  const rearSuspension = has('rear-anti-sink')
    ? [
        pipe('rear-brake-supply.here', 'rear-anti-sink.top'),
        pipe('rear-anti-sink.bottom', 'rear-suspension.here'),
      ]
    : [pipe('rear-brake-supply.here', 'rear-suspension.here')];
  const toUnits = (['front', 'rear'] as const).flatMap((end) =>
    ['left', 'right'].map((side) =>
      pipe(`${end}-suspension.here`, `suspension-${end}-${side}.top`, 'across-first'),
    ),
  );

  const rearBrakes = has('rear-brake-reserve')
    ? [
        pipe('rear-brake-supply.here', 'rear-brake-reserve.here'),
        pipe('rear-brake-reserve.here', 'rear-brakes.left'),
        pipe(
          'rear-brake-reserve.here',
          'rear-brake-accumulator.top',
          'straight',
          certaintyOf(basis.rearBrakeAccumulator),
        ),
      ]
    : [pipe('rear-brake-supply.here', 'rear-brakes.left')];

  return [
    ...supply,
    ...frontSuspension,
    pipe('rear-corrector.bottom', 'rear-brake-supply.here'),
    ...rearSuspension,
    ...toUnits,
    ...rearBrakes,
    ...(has('steering-supply') ? steeringPipes() : []),
  ];

  function steeringPipes(): Pipe[] {
    const certainty = certaintyOf(basis.steeringSupply);
    // a single-outlet pump has no section for the steering
    const fromPump =
      layout.steeringSupply === 'own-section' ||
      (layout.steeringSupply === 'unverified' && layout.pumpKind !== 'single-outlet');
    const onward = layout.steeringRegulator === 'other' ? 'manual-rules' : certainty;
    return [
      ...(fromPump ? [pipe('pump.top', 'steering-supply.here', 'down-first', certainty)] : []),
      ...(has('shared-supply')
        ? [pipe('shared-supply.here', 'steering-supply.here', 'straight', certainty)]
        : []),
      ...(has('steering-regulator')
        ? [
            pipe('steering-supply.here', 'steering-regulator.left', 'straight', onward),
            pipe('steering-regulator.right', 'steering.left', 'straight', onward),
          ]
        : [pipe('steering-supply.here', 'steering.left', 'straight', certainty)]),
    ];
  }
}

function endOf(text: string): End {
  const [part = '', port = ''] = text.split('.');
  return { part, port };
}

function pointOf(parts: readonly Part[], { part, port }: End): Point {
  const point = parts.find(({ id }) => id === part)?.ports[port];
  if (point === undefined) throw new Error(`no port ${port} at ${part}`);
  return point;
}
