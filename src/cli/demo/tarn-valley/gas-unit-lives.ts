import { EpochDay } from '../../../core/shared/calendar-date';
import { UnitPosition } from '../../../core/hydraulics/unit-positions';
import { DemoGasUnit, isSettled, lastChargeDay, trueShare } from './demo-gas-unit';
import { DemoDepot, TARN_VALLEY_DEPOTS } from './depots';
import { DemoVehicle } from './fleet-vehicles';
import { DemoGauge } from './gas-unit-gauges';
import { measured20BarGauge } from './gas-unit-reading';
import { DEMO_UNIT_TYPES, DemoUnitType, RECHARGE_SHARE } from './gas-unit-types';
import { recordedPositions, UNIT_RECORD_DAYS, UnitTestVisit } from './gas-unit-visits';
import { GasUnitWorkshop, Moment } from './gas-unit-workshop';
import { LayoutRecord } from './hydraulic-layout-list';
import { instantWithinDay } from './local-clock';
import { NamedRandom } from './named-random';
import { present } from './present';

const MINUTE = 60_000;
/** Five years after its last charge a unit is charged again; who works on it does so a little before. */
const OLD_CHARGE_DAYS = 1_750;
/** Every so many exchanged units turn out to be worn out. */
const EXCHANGES_PER_SCRAPPED = 9;
const READY_SHARE = 0.96;
const SENT_AWAY_FROM_THE_SHELF = 3;

interface Planned extends Moment {
  work: () => void;
}

/**
 * Five years of the operator's gas units: fitted at first, tested at the visits, recharged on the spot or
 * exchanged for one from the shelf when they are below the limit, recharged outside, fitted to another vehicle,
 * scrapped and replaced by new ones.
 */
export function gasUnitLives(
  vehicles: readonly DemoVehicle[],
  layouts: readonly LayoutRecord[],
  visits: readonly UnitTestVisit[],
  gauges: readonly DemoGauge[],
  seed: number,
  today: EpochDay,
): GasUnitWorkshop {
  return new GasUnitLives(vehicles, layouts, gauges, seed, today).lived(visits);
}

class GasUnitLives {
  private readonly random: NamedRandom;
  private readonly workshop: GasUnitWorkshop;
  private readonly beginDay: EpochDay;
  private readonly planned: Planned[] = [];
  private exchanges = 0;

  constructor(
    private readonly vehicles: readonly DemoVehicle[],
    private readonly layouts: readonly LayoutRecord[],
    gauges: readonly DemoGauge[],
    seed: number,
    private readonly today: EpochDay,
  ) {
    this.random = new NamedRandom(`${seed} gas units`);
    this.workshop = new GasUnitWorkshop(gauges, seed, today, this.random);
    this.beginDay = today - UNIT_RECORD_DAYS;
  }

  lived(visits: readonly UnitTestVisit[]): GasUnitWorkshop {
    const layoutOf = new Map(this.layouts.map((record) => [record.vehicleKey, record]));
    for (const vehicle of this.vehicles) {
      this.fitFirstUnits(vehicle, recordedPositions(layoutOf.get(vehicle.externalKey)));
    }
    for (const depot of TARN_VALLEY_DEPOTS) this.stockShelf(depot);
    for (const visit of visits) {
      this.workUntil(visit.at);
      this.visit(visit);
    }
    this.workUntil(Infinity);
    this.sendOldStockAway();
    return this.workshop;
  }

  private fitFirstUnits(vehicle: DemoVehicle, positions: readonly UnitPosition[]): void {
    const rear = this.random.chance(0.35) ? 'rear-heavy' : 'rear-light';
    const day = Math.max(vehicle.inServiceDay, this.beginDay);
    const from = { day, at: instantWithinDay(day, 0.3, vehicle.depot.zone) };
    for (const position of positions) {
      const type = this.workshop.drawType(groupAt(position, rear));
      const madeDay = vehicle.inServiceDay - this.random.integer(30, 280);
      const charged = { day: madeDay, share: 1 + this.random.deviate(0, 0.008) };
      this.workshop.addUnit(type, madeDay, charged, from, {
        state: 'fitted',
        depot: vehicle.depot,
        vehicle,
        position,
      });
    }
  }

  private stockShelf(depot: DemoDepot): void {
    for (const group of new Set(DEMO_UNIT_TYPES.map((type) => type.group)))
      this.addToShelf(group, depot, this.beginDay, 'first stock');
    for (let day = this.beginDay + 300; day < this.today; day += this.random.integer(330, 400)) {
      const at = instantWithinDay(day, 0.28, depot.zone);
      this.plan({ day, at }, () => {
        this.checkShelf(depot, { day, at });
      });
    }
  }

  private checkShelf(depot: DemoDepot, { day, at }: Moment): void {
    for (const [index, unit] of this.workshop.onTheShelf(depot).entries()) {
      const doneBy = this.technician();
      const now = at + 9 * index * MINUTE;
      const { reading } = this.workshop.test(unit, { day, at: now }, doneBy, 'on the shelf');
      // stock is kept ready to be fitted
      if (measured20BarGauge(reading) < READY_SHARE * unit.type.body.nominalPrecharge20BarGauge) {
        this.workshop.charge(unit, { day, at: now + 6 * MINUTE }, doneBy);
      }
    }
  }

  private addToShelf(group: DemoUnitType['group'], depot: DemoDepot, day: EpochDay, note: string): void {
    const moment = { day, at: instantWithinDay(day, 0.45, depot.zone) };
    const madeDay = day - this.random.integer(40, 200);
    const charged = { day: madeDay, share: 1 + this.random.deviate(0, 0.008) };
    const place = { state: 'on-the-shelf' as const, depot };
    const unit = this.workshop.addUnit(this.workshop.drawType(group), madeDay, charged, moment, place, note);
    const tested = { day, at: moment.at + 20 * MINUTE };
    if (trueShare(unit, day) < 0.97) this.workshop.charge(unit, tested, this.technician());
    else this.workshop.test(unit, tested, this.technician(), 'on arrival');
  }

  private visit({ vehicle, day, at, tested, recharged }: UnitTestVisit): void {
    let now = at;
    const doneBy = this.technician();
    for (const position of tested) {
      const unit = present(this.workshop.fittedAt(vehicle, position), `unit at ${position}`);
      const test = this.workshop.test(unit, { day, at: now }, doneBy);
      now += 12 * MINUTE;
      const limit = RECHARGE_SHARE * unit.type.body.nominalPrecharge20BarGauge;
      const isLow = measured20BarGauge(test.reading) < limit;
      const isOld = day - lastChargeDay(unit) > OLD_CHARGE_DAYS;
      if (!isLow && !isOld && position !== recharged) continue;
      const spare = this.workshop.spareAt(vehicle.depot, unit.type.group, day);
      // now and then the vehicle was needed at once, and the unit stays as it is until the next visit
      if (isLow && position !== recharged && this.random.chance(0.1)) continue;
      now += 25 * MINUTE;
      if (spare && position !== recharged && this.random.chance(0.6)) {
        this.exchange(unit, spare, vehicle, position, { day, at: now });
      } else {
        this.workshop.charge(unit, { day, at: now }, doneBy);
      }
    }
  }

  private exchange(
    worn: DemoGasUnit,
    spare: DemoGasUnit,
    vehicle: DemoVehicle,
    position: UnitPosition,
    moment: Moment,
  ): void {
    const { depot } = vehicle;
    this.exchanges += 1;
    if (this.exchanges % EXCHANGES_PER_SCRAPPED === 0) {
      this.workshop.move(worn, moment, { state: 'scrapped', depot }, 'diaphragm torn');
      const day = moment.day + this.random.integer(10, 40);
      this.plan({ day, at: instantWithinDay(day, 0.45, depot.zone) }, () => {
        this.addToShelf(worn.type.group, depot, day, 'bought for one that was scrapped');
      });
    } else {
      this.sendAway(worn, depot, moment);
    }
    this.workshop.move(spare, moment, { state: 'fitted', depot, vehicle, position });
  }

  private sendAway(unit: DemoGasUnit, depot: DemoDepot, moment: Moment): void {
    this.workshop.move(unit, moment, { state: 'away-for-recharge', depot });
    const day = moment.day + this.random.integer(9, 35);
    const at = instantWithinDay(day, 0.42, depot.zone);
    this.plan({ day, at }, () => {
      this.workshop.charge(unit, { day, at: at - 50 * MINUTE }, 'recharge station R1');
      this.workshop.move(unit, { day, at }, { state: 'on-the-shelf', depot }, 'back from recharge');
    });
  }

  private sendOldStockAway(): void {
    const day = this.today - 4;
    const stock = TARN_VALLEY_DEPOTS.flatMap((depot) =>
      this.workshop.onTheShelf(depot).map((unit) => ({ unit, depot })),
    );
    const settled = stock.filter(({ unit }) => isSettled(unit, day));
    const lowest = settled.sort((a, b) => trueShare(a.unit, day) - trueShare(b.unit, day));
    for (const { unit, depot } of lowest.slice(0, SENT_AWAY_FROM_THE_SHELF)) {
      const moment = { day, at: instantWithinDay(day, 0.5, depot.zone) };
      this.workshop.move(unit, moment, { state: 'away-for-recharge', depot }, 'old stock');
    }
  }

  private plan(moment: Moment, work: () => void): void {
    // what lies ahead of today has not happened
    if (moment.day < this.today) this.planned.push({ ...moment, work });
  }

  private workUntil(at: number): void {
    for (;;) {
      const [next] = this.planned.sort((a, b) => a.at - b.at);
      if (next === undefined || next.at > at) return;
      this.planned.shift();
      next.work();
    }
  }

  private technician(): string {
    return `technician T${String(this.random.integer(1, 14)).padStart(2, '0')}`;
  }
}

function groupAt(position: UnitPosition, rear: 'rear-light' | 'rear-heavy'): DemoUnitType['group'] {
  if (position === 'main-accumulator') return 'main';
  if (position === 'rear-brake-accumulator') return 'rear-brake';
  return position.startsWith('suspension-front') ? 'front' : rear;
}
