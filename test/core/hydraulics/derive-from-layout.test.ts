import { deriveFromLayout, LayoutConclusions } from '../../../src/core/hydraulics/derive-from-layout';
import {
  HydraulicLayout,
  LAYOUT_FACTS,
  RECORDABLE_VALUES,
  UNVERIFIED_LAYOUT,
  VARIANT_FACTS,
} from '../../../src/core/hydraulics/hydraulic-layout';
import { ALL_LAYOUTS, RealVehicle, vehiclesThatFit } from './all-layouts';

const CONCLUDED = ALL_LAYOUTS.map((layout) => ({
  layout,
  conclusions: deriveFromLayout(layout),
  fitting: vehiclesThatFit(layout),
}));
const CONSISTENT = CONCLUDED.filter((each) => each.conclusions.contradictions.length === 0);
const name = (layout: HydraulicLayout) => VARIANT_FACTS.map((fact) => layout[fact]).join(' / ');

// collects offenders, so that a failure names the layouts and a loop that checked nothing is noticed
function offenders<T extends { layout: HydraulicLayout }>(all: T[], fine: (each: T) => boolean): string[] {
  expect(all.length).toBeGreaterThan(100);
  return all.filter((each) => !fine(each)).map((each) => name(each.layout));
}

describe('over all 432 layouts', () => {
  test('there are 432, and most of them are free of contradictions', () => {
    expect(ALL_LAYOUTS).toHaveLength(3 * 3 * 3 * 4 * 4);
    // split: its three facts recorded rightly or not at all; single-outlet: any steering supply but its own section
    const split = CONSISTENT.filter((each) => each.layout.pumpKind === 'split').length;
    const single = CONSISTENT.filter((each) => each.layout.pumpKind === 'single-outlet').length;
    expect([split, single, CONSISTENT.length]).toEqual([2 * 2 * 2 * 4, 3 * 3 * 3 * 4, 32 + 108 + 144]);
  });

  test('a contradiction is reported exactly where no vehicle can be so', () => {
    expect(
      offenders(
        CONCLUDED,
        ({ conclusions, fitting }) => conclusions.contradictions.length > 0 === (fitting.length === 0),
      ),
    ).toEqual([]);
  });

  test('nothing is guessed and nothing certain is missed: a fact is known exactly where all vehicles agree', () => {
    expect(
      offenders(CONSISTENT, ({ conclusions, fitting }) =>
        VARIANT_FACTS.every((fact) => {
          const possible = new Set(fitting.map((vehicle) => vehicle[fact]));
          const [only] = possible;
          const word = possible.size === 1 && only !== 'of a kind without a word' ? only : 'unverified';
          return conclusions.effective.layout[fact] === word;
        }),
      ),
    ).toEqual([]);
  });

  test('a value is excluded exactly where no vehicle has it', () => {
    expect(
      offenders(CONSISTENT, ({ conclusions, fitting }) =>
        VARIANT_FACTS.every((fact) => {
          if (conclusions.effective.layout[fact] !== 'unverified') return true;
          const impossible = RECORDABLE_VALUES[fact].filter(
            (value) => !fitting.some((vehicle) => vehicle[fact] === value),
          );
          const excluded = conclusions.excluded
            .filter((each) => each.fact === fact)
            .map((each) => each.value);
          return JSON.stringify([...new Set(excluded)].sort()) === JSON.stringify(impossible.sort());
        }),
      ),
    ).toEqual([]);
  });

  test('every other conclusion is certain exactly where it holds for all vehicles that fit', () => {
    const certain = (vehicles: RealVehicle[], holds: (vehicle: RealVehicle) => boolean) =>
      vehicles.every(holds) ? 'yes' : vehicles.some(holds) ? 'unknown' : 'no';
    const applicabilityOf = (conclusions: LayoutConclusions, code: string) =>
      conclusions.tests.find((each) => each.test === code)!.applicability;
    const applicability = { yes: 'applies', no: 'does-not-apply', unknown: 'unknown' };
    const settling = { yes: 'fault', no: 'normal', unknown: 'unknown' };
    const unit = { yes: 'expected', no: 'not-expected', unknown: 'unknown' };
    const finding = { yes: 'stands', no: undefined, unknown: 'possible' };
    expect(
      offenders(CONSISTENT, ({ conclusions, fitting }) => {
        const valves = certain(fitting, (vehicle) => vehicle.antiSinkValves === 'fitted');
        const accumulator = certain(fitting, (vehicle) => vehicle.rearBrakeAccumulator === 'fitted');
        const noReserve = certain(
          fitting,
          (vehicle) => vehicle.antiSinkValves === 'fitted' && vehicle.rearBrakeAccumulator === 'not-fitted',
        );
        return (
          applicabilityOf(conclusions, 'anti-sink-hold') === applicability[valves] &&
          conclusions.overnightSettling === settling[valves] &&
          applicabilityOf(conclusions, 'rear-brake-accumulator-precharge') === applicability[accumulator] &&
          conclusions.positions.find((each) => each.position === 'rear-brake-accumulator')!.unit ===
            unit[accumulator] &&
          conclusions.safetyFindings[0]?.status === finding[noReserve] &&
          conclusions.rearBrakeFeed === feedOf(fitting)
        );
      }),
    ).toEqual([]);
  });

  function feedOf(fitting: RealVehicle[]): string {
    const feeds = new Set(
      fitting.map((vehicle) => {
        if (vehicle.rearBrakeAccumulator === 'fitted') return 'rear-brake-accumulator';
        return vehicle.antiSinkValves === 'fitted' ? 'nothing' : 'rear-suspension';
      }),
    );
    const [only] = feeds;
    return feeds.size === 1 && only !== undefined ? only : 'unknown';
  }

  test('what follows never contradicts what is recorded', () => {
    expect(
      offenders(CONCLUDED, ({ layout, conclusions }) =>
        conclusions.follows.every((each) => layout[each.fact] === 'unverified'),
      ),
    ).toEqual([]);
    expect(
      offenders(
        CONSISTENT,
        ({ conclusions }) => deriveFromLayout(conclusions.effective.layout).contradictions.length === 0,
      ),
    ).toEqual([]);
  });

  test('recording one more fact takes no certain conclusion back, unless it contradicts', () => {
    let checked = 0;
    for (const { layout, conclusions } of CONSISTENT) {
      for (const fact of VARIANT_FACTS) {
        if (layout[fact] !== 'unverified') continue;
        for (const value of RECORDABLE_VALUES[fact]) {
          const more = deriveFromLayout({ ...layout, [fact]: value });
          if (more.contradictions.length > 0) continue;
          checked += 1;
          const kept = certainConclusions(conclusions).filter(
            (each) => !certainConclusions(more).includes(each),
          );
          expect({ layout: name(layout), fact, value, takenBack: kept }).toEqual({
            layout: name(layout),
            fact,
            value,
            takenBack: [],
          });
        }
      }
    }
    expect(checked).toBeGreaterThan(400);
  });

  function certainConclusions(conclusions: LayoutConclusions): string[] {
    const { layout } = conclusions.effective;
    return [
      ...VARIANT_FACTS.filter((fact) => layout[fact] !== 'unverified').map(
        (fact) => `${fact}=${layout[fact]}`,
      ),
      ...conclusions.tests
        .filter((each) => each.applicability !== 'unknown')
        .map((each) => `${each.test} ${each.applicability}`),
      ...conclusions.positions
        .filter((each) => each.unit !== 'unknown')
        .map((each) => `${each.position} ${each.unit}`),
      ...conclusions.safetyFindings.filter((each) => each.status === 'stands').map((each) => each.code),
      ...(conclusions.safetyFindings.length === 0 ? ['no finding'] : []),
      ...(conclusions.rearBrakeFeed === 'unknown' ? [] : [conclusions.rearBrakeFeed]),
      ...(conclusions.overnightSettling === 'unknown' ? [] : [conclusions.overnightSettling]),
      ...conclusions.manualNotes.map((each) => each.code),
    ];
  }

  test('every fact that is unverified, disputed or only follows is an inspection task, and no other', () => {
    expect(
      offenders(CONCLUDED, ({ conclusions }) => {
        const wanted = LAYOUT_FACTS.filter(
          (fact) =>
            fact === 'fluid' ||
            fact === 'reservoirLitres' ||
            conclusions.effective.basis[fact] !== 'recorded',
        );
        return JSON.stringify(conclusions.inspections.map((each) => each.fact)) === JSON.stringify(wanted);
      }),
    ).toEqual([]);
  });

  test('a disputed fact is unknown for every conclusion but the dangerous one', () => {
    const disputed = CONCLUDED.filter((each) => each.conclusions.contradictions.length > 0);
    expect(
      offenders(disputed, ({ conclusions }) =>
        conclusions.contradictions
          .flatMap((each) => each.fields)
          .every((fact) => conclusions.effective.layout[fact] === 'unverified'),
      ),
    ).toEqual([]);
    expect(
      offenders(
        disputed,
        ({ layout, conclusions }) =>
          layout.rearBrakeAccumulator !== 'not-fitted' ||
          (layout.antiSinkValves !== 'fitted' && layout.pumpKind !== 'split') ||
          conclusions.safetyFindings[0]?.status === 'stands',
      ),
    ).toEqual([]);
  });
});

describe('words for people', () => {
  const contradictory = deriveFromLayout({
    ...UNVERIFIED_LAYOUT,
    pumpKind: 'split',
    antiSinkValves: 'not-fitted',
  });

  test('a contradiction names both fields, what they say, why not, and what to do', () => {
    expect(contradictory.contradictions).toEqual([
      {
        code: 'split-pump-means-anti-sink-valves',
        fields: ['pumpKind', 'antiSinkValves'],
        reason:
          'pumpKind is recorded as "split" and antiSinkValves as "not-fitted", but a vehicle with a split pump ' +
          'has anti-sink valves',
        remedy: expect.stringContaining('or set the one that nobody has seen to "unverified"') as string,
      },
    ]);
    expect(contradictory.follows).toEqual([]);
    const disputed = contradictory.inspections.filter((each) => each.why === 'disputed');
    expect(disputed.map((each) => [each.fact, each.urgency])).toEqual([
      ['pumpKind', 'before-work'],
      ['antiSinkValves', 'before-work'],
    ]);
  });

  test('a split pump with everything else wrong gives all three contradictions at once', () => {
    const { contradictions } = deriveFromLayout({
      ...UNVERIFIED_LAYOUT,
      pumpKind: 'split',
      antiSinkValves: 'not-fitted',
      rearBrakeAccumulator: 'not-fitted',
      steeringSupply: 'shared-supply',
    });
    expect(contradictions.map((each) => each.fields[1]).sort()).toEqual([
      'antiSinkValves',
      'rearBrakeAccumulator',
      'steeringSupply',
    ]);
  });

  test('an inspection says what to look at, how, and where to be careful', () => {
    const { inspections } = deriveFromLayout(UNVERIFIED_LAYOUT);
    expect(inspections.map((each) => each.fact)).toEqual([...LAYOUT_FACTS]);
    for (const task of inspections) {
      expect([task.lookAt, task.how, task.careful].every((text) => text.length > 15)).toBe(true);
      expect(task.why).toBe('unverified');
    }
    expect(inspections.filter((each) => each.urgency === 'before-work').map((each) => each.fact)).toEqual([
      'pumpKind',
      'antiSinkValves',
      'rearBrakeAccumulator',
      'fluid',
    ]);
  });

  test('an inspection of the pump tells which kinds are ruled out already', () => {
    const { inspections } = deriveFromLayout({ ...UNVERIFIED_LAYOUT, antiSinkValves: 'not-fitted' });
    expect(inspections[0]).toMatchObject({
      fact: 'pumpKind',
      excluded: [{ value: 'split', by: 'split-pump-means-anti-sink-valves' }],
    });
  });

  test('evidence is asked for where the caller keeps it', () => {
    const layout: HydraulicLayout = {
      ...UNVERIFIED_LAYOUT,
      pumpKind: 'split',
      fluid: 'mineral',
      reservoirLitres: 5,
    };
    const seen = { seenBy: 'workshop', seenOn: '2026-03-02', how: 'two outlets counted' };
    const why = (evidence?: object) =>
      deriveFromLayout(layout, evidence ? { evidence } : {}).inspections.map(
        (each) => `${each.fact} ${each.why}`,
      );
    expect(why()).toEqual([
      'antiSinkValves follows-but-not-seen',
      'rearBrakeAccumulator follows-but-not-seen',
      'steeringSupply follows-but-not-seen',
      'steeringRegulator unverified',
    ]);
    expect(why({ pumpKind: seen, fluid: seen })).toEqual([...why(), 'reservoirLitres no-evidence']);
    expect(why({})).toEqual([
      'pumpKind no-evidence',
      ...why(),
      'fluid no-evidence',
      'reservoirLitres no-evidence',
    ]);
  });
});

describe('where the maker rules', () => {
  test.each([
    ['steeringRegulator', 'remote-adjustable', ['remote-steering-regulator-manual-rules'], 'applies'],
    ['steeringRegulator', 'other', ['other-steering-manual-rules'], 'unknown'],
    ['steeringSupply', 'other', ['other-steering-manual-rules'], 'unknown'],
    ['steeringRegulator', 'integral', [], 'does-not-apply'],
    ['steeringRegulator', 'unverified', [], 'unknown'],
  ])('%s %s', (fact, value, codes, regulatorTest) => {
    const conclusions = deriveFromLayout({ ...UNVERIFIED_LAYOUT, [fact]: value });
    expect(conclusions.manualNotes.map((each) => each.code)).toEqual(codes);
    expect(conclusions.tests.find((each) => each.test === 'steering-regulator-pressure')!.applicability).toBe(
      regulatorTest,
    );
  });
});
