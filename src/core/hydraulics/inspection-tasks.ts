import {
  HydraulicLayout,
  isRecorded,
  LAYOUT_FACTS,
  LayoutEvidenceByFact,
  LayoutFact,
  VARIANT_FACTS,
  VariantFact,
} from './hydraulic-layout';
import { effectiveLayout, ExcludedValue, excludedValues, FactBasis } from './layout-conclusions';

/** Something that a person has to look at on the vehicle before the layout can be relied on. */
export interface InspectionTask {
  fact: LayoutFact;
  why: 'unverified' | 'disputed' | 'follows-but-not-seen' | 'no-evidence';
  /** `before-work`: before anybody works on the system. `next-visit`: when the vehicle is in anyway. */
  urgency: 'before-work' | 'next-visit';
  lookAt: string;
  how: string;
  careful: string;
  /** Values that are ruled out already, with the reason. */
  excluded: ExcludedValue[];
}

type Instruction = Pick<InspectionTask, 'lookAt' | 'how' | 'careful'>;

const UNDER_THE_VEHICLE =
  'engine off; vehicle on stands before you reach under it, it drops without warning; open no pipe';

// common practice, no published source
const INSTRUCTIONS: Record<LayoutFact, Instruction> = {
  pumpKind: {
    lookAt: 'the high-pressure outlets of the pump',
    how:
      'count them with the engine off: one is a single-outlet pump; two, one to the steering and one to ' +
      'suspension and brakes, is a split pump',
    careful: 'keep clear of the belt drive; open no pipe: the outlets may be under pressure',
  },
  antiSinkValves: {
    lookAt: 'the pipes of the front and rear suspension, between height corrector and suspension units',
    how:
      'look for a valve that shuts the suspension off with the engine stopped. Settling overnight proves ' +
      'nothing: it is normal without the valves and a fault with them',
    careful: UNDER_THE_VEHICLE,
  },
  rearBrakeAccumulator: {
    lookAt: 'the rear brake circuit',
    how:
      'look for a gas unit besides the two of the rear suspension and follow its pipe: it must lead to the ' +
      'rear brakes. Note its serial number and charge date',
    careful: UNDER_THE_VEHICLE,
  },
  steeringSupply: {
    lookAt: 'the feed pipe of the steering',
    how:
      'follow it from the steering back to where it starts: the pressure supply (shared), an outlet of the ' +
      'pump of its own (own section), or neither (other)',
    careful: 'engine off and wheels straight ahead; keep hands clear of the linkage; open no pipe',
  },
  steeringRegulator: {
    lookAt: 'the regulator of the steering pressure',
    how:
      'see whether it is part of the pump or steering unit (integral) or a part of its own with an adjuster ' +
      "(remote, adjustable). Anything else is other, and the maker's workshop manual rules",
    careful: 'do not turn an adjuster: it changes the steering pressure',
  },
  fluid: {
    lookAt: 'the marking on the reservoir and its cap',
    how: "read it and compare it with the maker's manual and the service history",
    careful: 'top up with nothing before the kind is known; keep fluid off skin and eyes',
  },
  reservoirLitres: {
    lookAt: "the capacities table of the maker's manual, or the plate of the reservoir",
    how: 'note the litres of the whole fill, not those between the two level marks',
    careful: 'do not drain fluid to measure it',
  },
};

// what decides whether the rear brakes have a reserve, and what may be poured in, cannot wait
const CANNOT_WAIT: readonly LayoutFact[] = ['pumpKind', 'antiSinkValves', 'rearBrakeAccumulator', 'fluid'];

/**
 * What still has to be looked at: facts that nobody recorded, that records dispute, that follow but that
 * nobody has seen, or (where `evidence` is given) that are recorded without a witness.
 *
 * @param layout the layout as recorded
 * @param evidence who saw which fact; leave it out to not ask for it
 */
export function inspectionTasks(layout: HydraulicLayout, evidence?: LayoutEvidenceByFact): InspectionTask[] {
  const { basis } = effectiveLayout(layout);
  const excluded = excludedValues(layout);
  const tasks: InspectionTask[] = [];
  for (const fact of LAYOUT_FACTS) {
    const why = reasonToLook(layout, fact, basis, evidence);
    if (why === null) continue;
    const open = why === 'unverified' || why === 'disputed';
    tasks.push({
      fact,
      why,
      urgency: why === 'disputed' || (open && CANNOT_WAIT.includes(fact)) ? 'before-work' : 'next-visit',
      ...INSTRUCTIONS[fact],
      excluded: excluded.filter((each) => each.fact === fact),
    });
  }
  return tasks;
}

function reasonToLook(
  layout: HydraulicLayout,
  fact: LayoutFact,
  basis: Record<VariantFact, FactBasis>,
  evidence: LayoutEvidenceByFact | undefined,
): InspectionTask['why'] | null {
  if (isVariantFact(fact) && basis[fact] === 'disputed') return 'disputed';
  if (isVariantFact(fact) && basis[fact] === 'follows') return 'follows-but-not-seen';
  if (!isRecorded(layout, fact)) return 'unverified';
  return evidence !== undefined && evidence[fact] === undefined ? 'no-evidence' : null;
}

function isVariantFact(fact: LayoutFact): fact is VariantFact {
  return (VARIANT_FACTS as readonly LayoutFact[]).includes(fact);
}
