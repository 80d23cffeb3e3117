import { HydraulicLayout } from './hydraulic-layout';

/** Kinds of work and of figures that a caution belongs to. */
export const CAUTION_CONTEXTS = [
  'any-work',
  'open-circuit',
  'unit-removal',
  'unit-charging',
  'fluid',
  'brakes-supply-or-anti-sink',
  'computed-figure',
] as const;

export type CautionContext = (typeof CAUTION_CONTEXTS)[number];

/** A warning to be shown where the work can hurt someone. `code` is stable, `text` is for people. */
export interface Caution {
  code: string;
  text: string;
  shownFor: readonly CautionContext[];
}

const WORK_ON_THE_SYSTEM = ['any-work', 'open-circuit', 'unit-removal'] as const;

/**
 * The cautions that hold for every layout. Source: common practice, no published source, except: fluids to
 * ISO 7308 and glycol fluids are incompatible (ISO 9128); skin is breached from about 7 bar, 100 psi
 * (hand-surgery manuals).
 */
export const STANDING_CAUTIONS: readonly Caution[] = [
  {
    code: 'fluid-injection',
    text:
      'Fluid goes through skin from about 7 bar; this system holds twenty times that. Never feel for a leak by hand. An injection ' +
      'injury looks like a harmless pinprick and is a surgical emergency: go to hospital at once and say ' +
      '"high-pressure injection" and which fluid.',
    shownFor: [...WORK_ON_THE_SYSTEM, 'fluid', 'unit-charging'],
  },
  {
    code: 'release-pressure-first',
    text:
      'Release the pressure and make sure that it is gone before you open any pipe or unscrew any gas unit. ' +
      'Accumulators keep the system under pressure long after the engine has stopped.',
    shownFor: WORK_ON_THE_SYSTEM,
  },
  {
    code: 'vehicle-drops-without-warning',
    text:
      'Support the vehicle on stands before you reach under it: when pressure goes, it drops without warning. ' +
      'Its own suspension is never a support.',
    shownFor: WORK_ON_THE_SYSTEM,
  },
  {
    code: 'parking-brake-acts-on-front-wheels',
    text: 'The parking brake acts on the front wheels: chock the wheels accordingly before lifting an end.',
    shownFor: WORK_ON_THE_SYSTEM,
  },
  {
    code: 'nitrogen-only',
    text:
      'Charge gas units with dry nitrogen only, never with oxygen or air. Use a regulator, a charging rig and a ' +
      'gauge that are rated for the pressure.',
    shownFor: ['unit-charging'],
  },
  {
    code: 'pressure-vessel-law',
    text:
      'A gas unit is a pressure vessel. Local pressure-equipment law, and the competence that it asks for, come ' +
      'before anything written here.',
    shownFor: ['unit-removal', 'unit-charging'],
  },
  {
    code: 'never-mix-fluids',
    text:
      'Never mix kinds of fluid. Glycol brake fluid in a mineral system destroys its seals, those of the ' +
      'brakes included.',
    shownFor: ['any-work', 'open-circuit', 'fluid'],
  },
  {
    code: 'no-pressure-no-brakes',
    text:
      'The brakes are power brakes: without stored pressure the pedal does nothing. A lit low-pressure warning ' +
      'means stop, and do not move the vehicle.',
    shownFor: ['any-work', 'brakes-supply-or-anti-sink'],
  },
  {
    code: 'check-warning-and-reserve-before-release',
    text:
      'After work on the pressure supply, the brakes or the anti-sink valves, check the low-pressure warning and ' +
      'the brake reserve before the vehicle is released.',
    shownFor: ['brakes-supply-or-anti-sink'],
  },
  {
    code: 'advice-not-a-certificate',
    text:
      "This software advises. The vehicle maker's manual, local law and a licensed person decide. A computed " +
      'reserve or forecast is never a certificate.',
    shownFor: CAUTION_CONTEXTS,
  },
];

/**
 * Every caution that belongs to a layout: the standing ones, and those that its facts (or what is not known
 * of them) call for.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function cautionsFor(layout: HydraulicLayout): Caution[] {
  return [...STANDING_CAUTIONS, ...trappedPressureCaution(layout), fluidCaution(layout)];
}

/** Those of the given cautions that belong to a kind of work; order kept. */
export function cautionsInContext(cautions: readonly Caution[], context: CautionContext): Caution[] {
  return cautions.filter((caution) => caution.shownFor.includes(context));
}

/** Those that belong to any of some kinds of work, in the order of these kinds; each text once. */
export function cautionsInContexts(
  cautions: readonly Caution[],
  contexts: readonly CautionContext[],
): Caution[] {
  const shown = contexts.flatMap((context) => cautionsInContext(cautions, context));
  return shown.filter(({ text }, at) => shown.findIndex((other) => other.text === text) === at);
}

function trappedPressureCaution(layout: HydraulicLayout): Caution[] {
  if (layout.antiSinkValves === 'not-fitted') return [];
  const opening =
    layout.antiSinkValves === 'fitted'
      ? 'This vehicle has anti-sink valves'
      : 'This vehicle may have anti-sink valves, nobody has established it';
  return [
    {
      code:
        layout.antiSinkValves === 'fitted'
          ? 'anti-sink-valves-hold-pressure'
          : 'anti-sink-valves-may-hold-pressure',
      text:
        `${opening}: they shut the suspension off with the engine stopped, so it can stay under pressure when ` +
        'the pressure supply has none. Release both.',
      shownFor: WORK_ON_THE_SYSTEM,
    },
  ];
}

function fluidCaution(layout: HydraulicLayout): Caution {
  const shownFor = ['any-work', 'open-circuit', 'fluid'] as const;
  switch (layout.fluid) {
    case null:
      return {
        code: 'fluid-not-verified',
        text:
          'Nobody has established which fluid is in this vehicle. Do not top up or refill before the marking on ' +
          'the reservoir and the manual have been read.',
        shownFor,
      };
    case 'mineral':
      return {
        code: 'mineral-fluid-only',
        text: 'This system takes mineral hydraulic fluid (ISO 7308) and no other.',
        shownFor,
      };
    case 'glycol':
      return {
        code: 'glycol-fluid-only',
        text: 'This system takes glycol brake fluid. Mineral fluid destroys its seals.',
        shownFor,
      };
    default:
      return {
        code: 'recorded-fluid-only',
        text: `The fluid of this system is recorded as "${layout.fluid}": use no other, the maker's manual rules.`,
        shownFor,
      };
  }
}
