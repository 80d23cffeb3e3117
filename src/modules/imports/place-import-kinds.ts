import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { administrators, deciders, planners } from '../../platform/security/role';
import { BookingImportsService } from '../bookings/booking-imports.service';
import type { BookingLine } from '../bookings/dto/booking-line.dto';
import { DepotsService } from '../depots/depots.service';
import type { DepotLine } from '../depots/dto/depot-line.dto';
import { DueItemsService } from '../due-items/due-items.service';
import { FleetsService } from '../fleets/fleets.service';
import type { FleetLine } from '../fleets/dto/fleet-line.dto';
import type { RosterLine } from '../roster-needs/dto/roster-line.dto';
import { RosterNeedsService } from '../roster-needs/roster-needs.service';
import { VehiclesService } from '../vehicles/vehicles.service';
import type { WorkshopLine } from '../workshops/dto/workshop-line.dto';
import { WorkshopsService } from '../workshops/workshops.service';
import type { BatchOutcome, ImportKind } from './import-kind';
import { byKey, checkAs, columns, distinct, unknownKey, writeResolved } from './import-resolution';

// A booking takes bays and people until its batch is stored: few of them, so that nobody waits long for a diary.
const BOOKINGS_AT_ONCE = 20;

/** The kinds of file about places, and about who comes there when. */
@Injectable()
export class PlaceImportKinds {
  readonly kinds: Readonly<Record<'fleets' | 'depots' | 'workshops' | 'rosters' | 'bookings', ImportKind>>;

  constructor(
    private readonly fleets: FleetsService,
    private readonly depots: DepotsService,
    private readonly workshops: WorkshopsService,
    private readonly rosters: RosterNeedsService,
    private readonly vehicles: VehiclesService,
    private readonly dueItems: DueItemsService,
    private readonly bookings: BookingImportsService,
  ) {
    this.kinds = {
      fleets: {
        roles: administrators,
        columns: columns('externalKey! name!', 'serviceProgrammeId'),
        check: checkAs(this.fleets.lineClass),
        // who follows another programme is computed again by whoever changes the fleet
        write: async (tx, principal, rows) => ({
          results: await this.fleets.writeBatch(tx, principal, rows as FleetLine[]),
          vehicleIds: [],
        }),
      },
      depots: {
        roles: planners,
        columns: columns('externalKey! fleetKey! name! zone!', ''),
        check: checkAs(this.depots.lineClass),
        write: (tx, principal, rows) => this.writeDepots(tx, principal, rows as DepotLine[]),
      },
      workshops: {
        roles: deciders,
        columns: columns(
          'externalKey! name! zone!',
          'holidayRegion vehicleStay signOffCompetence',
          'minutesBefore minutesAfter gridMinutes',
          { nested: 'weeklyHours dayExceptions' },
        ),
        check: checkAs(this.workshops.lineClass, 'vehicleStay minutesBefore minutesAfter gridMinutes'),
        write: async (tx, principal, rows) => ({
          results: await this.workshops.writeBatch(tx, principal, rows as WorkshopLine[]),
          vehicleIds: [],
        }),
      },
      rosters: {
        roles: planners,
        columns: columns('depotKey!', '', '', { nested: 'neededByWeekday! exceptions' }),
        check: checkAs(this.rosters.lineClass),
        write: (tx, principal, rows) => this.writeRosters(tx, principal, rows as RosterLine[]),
      },
      bookings: {
        batchLines: BOOKINGS_AT_ONCE,
        columns: columns(
          'externalKey! vehicleKey! workshopKey! startsAt!',
          'bayId cause contact note',
          'workMinutes',
          { nested: 'dueItemKeys extraWork technicianIds' },
        ),
        check: checkAs(this.bookings.lineClass, 'cause'),
        write: (tx, principal, rows) => this.writeBookings(tx, principal, rows as BookingLine[]),
      },
    };
  }

  private async writeDepots(
    tx: Tx,
    principal: Principal,
    lines: readonly DepotLine[],
  ): Promise<BatchOutcome> {
    const keys = distinct(lines.map(({ fleetKey }) => fleetKey));
    const fleets = byKey(await this.fleets.findByExternalKeys(tx, keys));
    return writeResolved(
      lines,
      ({ fleetKey, ...row }) => {
        const fleet = fleets.get(fleetKey);
        return fleet === undefined
          ? unknownKey('fleetKey', fleetKey, 'fleet')
          : { ...row, fleetId: fleet.id };
      },
      (rows) => this.depots.writeBatch(tx, principal, rows),
      () => null,
    );
  }

  private async writeRosters(
    tx: Tx,
    principal: Principal,
    lines: readonly RosterLine[],
  ): Promise<BatchOutcome> {
    const keys = distinct(lines.map(({ depotKey }) => depotKey));
    const depots = byKey(await this.depots.findByExternalKeys(tx, keys));
    return writeResolved(
      lines,
      ({ depotKey, ...row }) => {
        const depot = depots.get(depotKey);
        return depot === undefined
          ? unknownKey('depotKey', depotKey, 'depot')
          : { ...row, depotId: depot.id };
      },
      (rows) => this.rosters.writeBatch(tx, principal, rows),
      () => null,
    );
  }

  private async writeBookings(
    tx: Tx,
    principal: Principal,
    lines: readonly BookingLine[],
  ): Promise<BatchOutcome> {
    const vehicles = byKey(
      await this.vehicles.findByExternalKeys(tx, distinct(lines.map(({ vehicleKey }) => vehicleKey))),
    );
    const workshops = byKey(
      await this.workshops.findByExternalKeys(tx, distinct(lines.map(({ workshopKey }) => workshopKey))),
    );
    await this.dueItems.lockVehicles(
      tx,
      [...vehicles.values()].map(({ id }) => id),
    );
    return writeResolved(
      lines,
      ({ vehicleKey, workshopKey, ...row }) => {
        const vehicle = vehicles.get(vehicleKey);
        if (vehicle === undefined) return unknownKey('vehicleKey', vehicleKey, 'vehicle');
        const workshop = workshops.get(workshopKey);
        if (workshop === undefined) return unknownKey('workshopKey', workshopKey, 'workshop');
        return { ...row, vehicleId: vehicle.id, workshopId: workshop.id };
      },
      (rows) => this.bookings.writeBatch(tx, principal, rows),
      () => null,
    );
  }
}
