import { missingUnitFindings } from '../../../src/core/hydraulics/missing-unit-findings';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';

const since = '2026-11-20';
const codes = (layout: Partial<typeof UNVERIFIED_LAYOUT>, ...positions: string[]): string[] =>
  missingUnitFindings(
    { ...UNVERIFIED_LAYOUT, ...layout },
    positions.map((position) => ({ position, since })),
  ).map(({ code }) => code);

// Source: common practice, no published source (with anti-sink valves and a closed safety valve the rear brake
// accumulator is what feeds the rear brakes).
describe('missingUnitFindings', () => {
  it('a rear brake accumulator taken out behind anti-sink valves leaves the rear brakes without a feed', () => {
    for (const layout of [{ antiSinkValves: 'fitted' }, { pumpKind: 'split' }] as const)
      expect(codes(layout, 'rear-brake-accumulator')).toEqual([
        'no-rear-brake-reserve-behind-anti-sink-valves',
      ]);
  });

  it('any other unit taken out keeps the vehicle too; a position that the layout does not have does not', () => {
    expect(codes({}, 'suspension-front-left', 'main-accumulator', 'rear-brake-accumulator')).toEqual([
      'unit-missing-at-suspension-front-left',
      'unit-missing-at-main-accumulator',
      'unit-missing-at-rear-brake-accumulator',
    ]);
    expect(codes({ rearBrakeAccumulator: 'not-fitted' }, 'rear-brake-accumulator')).toEqual([]);
    expect(codes({ antiSinkValves: 'fitted' })).toEqual([]);
  });

  it('says since when, and what to do', () => {
    const [finding] = missingUnitFindings(UNVERIFIED_LAYOUT, [{ position: 'main-accumulator', since }]);
    expect(finding?.because).toContain('taken out on 2026-11-20');
    expect(finding?.remedy).toContain('do not release the vehicle');
  });
});
