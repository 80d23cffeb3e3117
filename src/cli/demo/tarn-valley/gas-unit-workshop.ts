import { assert } from '../../../core/shared/assert';
import { EpochDay } from '../../../core/shared/calendar-date';
import type { UnitPosition } from '../../../core/hydraulics/unit-positions';
import {
  DemoGasUnit,
  DemoPlacement,
  DemoUnitTest,
  isSettled,
  presentPlacement,
  truePrecharge20,
  trueShare,
} from './demo-gas-unit';
import { DemoDepot } from './depots';
import { DemoVehicle } from './fleet-vehicles';
import { trueDecay } from './gas-unit-decay';
import { DemoGauge } from './gas-unit-gauges';
import { readGauge } from './gas-unit-reading';
import { DEMO_UNIT_TYPES, DemoUnitType } from './gas-unit-types';
import { NamedRandom } from './named-random';
import { present } from './present';
import { totalKmAt } from './true-distance-path';

/** The truth runs on after today, so that what was forecast can be compared with what happens. */
export const TRUTH_DAYS_AHEAD = 4_383;

type Place = Pick<DemoPlacement, 'state' | 'depot'> & Partial<Pick<DemoPlacement, 'vehicle' | 'position'>>;

/** A moment of a local day. */
export interface Moment {
  day: EpochDay;
  at: number;
}

/** Makes, moves, tests and charges the operator's gas units, and remembers where each one is. */
export class GasUnitWorkshop {
  readonly units: DemoGasUnit[] = [];
  private readonly fitted = new Map<string, DemoGasUnit>();

  constructor(
    private readonly gauges: readonly DemoGauge[],
    private readonly seed: number,
    private readonly today: EpochDay,
    private readonly random: NamedRandom,
  ) {}

  /** A unit that is on record from a moment on; `share` is what it then has of its nominal precharge. */
  addUnit(
    type: DemoUnitType,
    madeDay: EpochDay,
    charged: { day: EpochDay; share: number },
    from: Moment,
    place: Place,
    note = '',
  ): DemoGasUnit {
    const number = this.units.length + 1;
    const random = new NamedRandom(`${this.seed} gas unit ${number}`);
    const { median, logSpread } = type.logLossPerYear;
    const unit: DemoGasUnit = {
      externalKey: `GU-${String(number).padStart(4, '0')}`,
      type,
      serialNumber: `${type.serialPrefix}${String(10_000 + 37 * number + random.integer(0, 36))}`,
      madeDay,
      isMadeDayKnown: random.chance(0.95),
      decay: trueDecay(
        charged.day,
        this.today + TRUTH_DAYS_AHEAD + 7,
        median * Math.exp(random.deviate(0, logSpread)),
        random,
      ),
      charges: [{ day: charged.day, true20BarGauge: charged.share * type.body.nominalPrecharge20BarGauge }],
      placements: [],
      tests: [],
    };
    this.units.push(unit);
    this.place(unit, from, place, note);
    return unit;
  }

  /** The unit at a position of a vehicle. */
  fittedAt(vehicle: DemoVehicle, position: UnitPosition): DemoGasUnit | undefined {
    return this.fitted.get(`${vehicle.number} ${position}`);
  }

  /** Ends where the unit was and begins where it is now. */
  move(unit: DemoGasUnit, moment: Moment, place: Place, note = ''): void {
    const before = presentPlacement(unit);
    assert(before.state !== 'scrapped', 'a scrapped unit stays where it is');
    before.untilAt = moment.at;
    if (before.vehicle) {
      before.vehicleTotalKmUntil = Math.floor(totalKmAt(before.vehicle.path, moment.day, moment.at));
      this.fitted.delete(`${before.vehicle.number} ${present(before.position, 'position')}`);
    }
    this.place(unit, moment, place, note);
  }

  /** Reads the unit's precharge and writes it down. */
  test(unit: DemoGasUnit, moment: Moment, doneBy: string, note = ''): DemoUnitTest {
    return this.record(unit, 'precharge-test', moment, doneBy, note);
  }

  /** Charges the unit to its nominal precharge, as well as that can be done, and reads it. */
  charge(unit: DemoGasUnit, moment: Moment, doneBy: string, note = ''): DemoUnitTest {
    const nominal = unit.type.body.nominalPrecharge20BarGauge;
    unit.charges.push({ day: moment.day, true20BarGauge: nominal * (1 + this.random.deviate(0, 0.008)) });
    return this.record(unit, 'charge', moment, doneBy, note);
  }

  /** A charged unit on the shelf that may stand in for one of a group. */
  spareAt(depot: DemoDepot, group: DemoUnitType['group'], day: EpochDay): DemoGasUnit | undefined {
    return this.onTheShelf(depot).find(
      (unit) => unit.type.group === group && isSettled(unit, day) && trueShare(unit, day) > 0.9,
    );
  }

  onTheShelf(depot: DemoDepot): DemoGasUnit[] {
    return this.units.filter((unit) => {
      const place = presentPlacement(unit);
      return place.state === 'on-the-shelf' && place.depot === depot;
    });
  }

  /** A type of a group, by the shares that the operator bought. */
  drawType(group: DemoUnitType['group']): DemoUnitType {
    const own = DEMO_UNIT_TYPES.filter((type) => type.group === group);
    let draw = this.random.next();
    for (const type of own) {
      draw -= type.share;
      if (draw < 0) return type;
    }
    return present(own.at(-1), 'type of the group');
  }

  private place(unit: DemoGasUnit, moment: Moment, place: Place, note: string): void {
    const { vehicle, position } = place;
    unit.placements.push({
      state: place.state,
      fromAt: moment.at,
      untilAt: undefined,
      vehicle,
      position,
      depot: place.depot,
      note,
      vehicleTotalKmFrom: vehicle && Math.floor(totalKmAt(vehicle.path, moment.day, moment.at)),
      vehicleTotalKmUntil: undefined,
    });
    if (!vehicle) return;
    const key = `${vehicle.number} ${present(position, 'position')}`;
    assert(!this.fitted.has(key), `one unit at ${key}`);
    this.fitted.set(key, unit);
  }

  private record(
    unit: DemoGasUnit,
    kind: DemoUnitTest['kind'],
    { day, at }: Moment,
    doneBy: string,
    note: string,
  ): DemoUnitTest {
    const true20BarGauge = truePrecharge20(unit, day);
    const test: DemoUnitTest = {
      unit,
      placement: presentPlacement(unit),
      kind,
      day,
      doneAt: at,
      doneBy,
      reading: readGauge(true20BarGauge, day, this.random.pick(this.gauges), this.random),
      true20BarGauge,
      note,
    };
    unit.tests.push(test);
    return test;
  }
}
