import { Injectable } from '@nestjs/common';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { DepotsService } from '../depots/depots.service';
import { DueItemsService } from '../due-items/due-items.service';
import { FleetsService } from '../fleets/fleets.service';
import { GasUnitEventsService } from '../gas-unit-events/gas-unit-events.service';
import { GasUnitsService } from '../gas-units/gas-units.service';
import { UnitPlacementsService } from '../gas-units/unit-placements.service';
import { GaugesService } from '../gauges/gauges.service';
import { VehiclesService } from '../vehicles/vehicles.service';
import { GasUnitLine, UnitPlacementLine, UnitTestLine } from './dto/import-unit-lines.dto';
import type { BatchOutcome, ImportKind } from './import-kind';
import { byKey, checkAs, columns, distinct, unknownKey, writeResolved } from './import-resolution';

/** The kinds of file about gas units: the units, where they were, and what was measured on them. */
@Injectable()
export class UnitImportKinds {
  readonly kinds: Readonly<Record<'gas-units' | 'unit-placements' | 'unit-tests', ImportKind>>;

  constructor(
    private readonly fleets: FleetsService,
    private readonly depots: DepotsService,
    private readonly vehicles: VehiclesService,
    private readonly dueItems: DueItemsService,
    private readonly units: GasUnitsService,
    private readonly placements: UnitPlacementsService,
    private readonly events: GasUnitEventsService,
    private readonly gauges: GaugesService,
  ) {
    this.kinds = {
      'gas-units': {
        columns: columns('externalKey! fleetKey! typeCode! serialNumber!', 'madeOn note'),
        check: checkAs(GasUnitLine),
        write: (tx, principal, rows) => this.writeUnits(tx, principal, rows as GasUnitLine[]),
      },
      'unit-placements': {
        columns: columns(
          'unitKey! state! fromAt!',
          'untilAt vehicleKey position depotKey externalKey note',
          'vehicleTotalKmFrom vehicleTotalKmUntil',
        ),
        check: checkAs(UnitPlacementLine),
        write: (tx, principal, rows) => this.writePlacements(tx, principal, rows as UnitPlacementLine[]),
      },
      'unit-tests': {
        columns: columns(
          'unitKey! kind! doneAt! doneBy!',
          'gaugeCode note externalKey',
          'pressureBarGauge! gasTemperatureC! ambientBar',
        ),
        check: checkAs(UnitTestLine),
        write: (tx, principal, rows) => this.writeTests(tx, principal, rows as UnitTestLine[]),
      },
    };
  }

  private async writeUnits(
    tx: Tx,
    principal: Principal,
    lines: readonly GasUnitLine[],
  ): Promise<BatchOutcome> {
    const fleetKeys = distinct(lines.map(({ fleetKey }) => fleetKey));
    const fleets = byKey(await this.fleets.findByExternalKeys(tx, fleetKeys));
    return writeResolved(
      lines,
      ({ fleetKey, typeCode, ...row }) => {
        const fleet = fleets.get(fleetKey);
        return fleet === undefined
          ? unknownKey('fleetKey', fleetKey, 'fleet')
          : { ...row, unitTypeCode: typeCode, fleetId: fleet.id };
      },
      async (rows) => byColumn(await this.units.writeBatch(tx, principal, rows)),
      // what a unit is called moves no due item; where it is does
      () => null,
    );
  }

  private async writePlacements(
    tx: Tx,
    principal: Principal,
    lines: readonly UnitPlacementLine[],
  ): Promise<BatchOutcome> {
    const units = byKey(
      await this.units.findByExternalKeys(tx, distinct(lines.map(({ unitKey }) => unitKey))),
    );
    const vehicleKeys = distinct(lines.flatMap(({ vehicleKey }) => vehicleKey ?? []));
    const vehicles = byKey(await this.vehicles.findByExternalKeys(tx, vehicleKeys));
    const depotKeys = distinct(lines.flatMap(({ depotKey }) => depotKey ?? []));
    const depots = byKey(await this.depots.findByExternalKeys(tx, depotKeys));
    const concerned = new Set([
      ...[...vehicles.values()].map(({ id }) => id),
      ...(await this.placements.vehicleIdsOf(
        tx,
        [...units.values()].map(({ id }) => id),
      )),
    ]);
    await this.dueItems.lockVehicles(tx, [...concerned]);
    const outcome = await writeResolved(
      lines,
      ({ unitKey, vehicleKey, depotKey, fromAt, untilAt, ...row }) => {
        const unit = units.get(unitKey);
        if (unit === undefined) return unknownKey('unitKey', unitKey, 'gas unit');
        const vehicle = typeof vehicleKey === 'string' ? vehicles.get(vehicleKey) : null;
        if (vehicle === undefined) return unknownKey('vehicleKey', vehicleKey ?? '', 'vehicle');
        const depot = typeof depotKey === 'string' ? depots.get(depotKey) : null;
        if (depot === undefined) return unknownKey('depotKey', depotKey ?? '', 'depot');
        return {
          ...row,
          unitId: unit.id,
          vehicleId: vehicle?.id ?? null,
          depotId: depot?.id ?? null,
          fromAt: new Date(fromAt),
          untilAt: typeof untilAt === 'string' ? new Date(untilAt) : null,
        };
      },
      async (rows) => byColumn(await this.placements.writePlacementBatch(tx, principal, rows)),
      () => null,
    );
    return changed(outcome, concerned);
  }

  private async writeTests(
    tx: Tx,
    principal: Principal,
    lines: readonly UnitTestLine[],
  ): Promise<BatchOutcome> {
    const units = byKey(
      await this.units.findByExternalKeys(tx, distinct(lines.map(({ unitKey }) => unitKey))),
    );
    const codes = distinct(lines.flatMap(({ gaugeCode }) => gaugeCode ?? []));
    const gauges = new Map((await this.gauges.findByCodes(tx, codes)).map(({ code, id }) => [code, id]));
    const concerned = new Set(
      await this.placements.vehicleIdsOf(
        tx,
        [...units.values()].map(({ id }) => id),
      ),
    );
    await this.dueItems.lockVehicles(tx, [...concerned]);
    const outcome = await writeResolved(
      lines,
      ({ unitKey, gaugeCode, ...row }) => {
        const unit = units.get(unitKey);
        if (unit === undefined) return unknownKey('unitKey', unitKey, 'gas unit');
        const gaugeId = typeof gaugeCode === 'string' ? gauges.get(gaugeCode) : null;
        if (gaugeId === undefined) return unknownKey('gaugeCode', gaugeCode ?? '', 'gauge');
        return { ...row, unitId: unit.id, gaugeId };
      },
      async (rows) => byColumn(await this.events.writeBatch(tx, principal, rows)),
      () => null,
    );
    // a unit may have been fitted meanwhile
    const now = await this.placements.vehicleIdsOf(
      tx,
      [...units.values()].map(({ id }) => id),
    );
    return changed(outcome, new Set([...concerned, ...now]));
  }
}

// A record names others by id, a line by the operator's keys: what is said of the one is about the other.
const COLUMN_OF: Readonly<Record<string, string>> = {
  '#/unitTypeCode': '#/typeCode',
  '#/unitId': '#/unitKey',
  '#/vehicleId': '#/vehicleKey',
  '#/depotId': '#/depotKey',
  '#/gaugeId': '#/gaugeCode',
};

function byColumn(results: readonly BulkResult[]): BulkResult[] {
  return results.map((result) => ({
    ...result,
    errors: result.errors.map(({ pointer, ...error }) => ({
      ...error,
      ...(pointer === undefined ? {} : { pointer: COLUMN_OF[pointer] ?? pointer }),
    })),
  }));
}

// A unit may have moved between vehicles within the batch: all of them are computed again.
function changed({ results }: BatchOutcome, concerned: ReadonlySet<string>): BatchOutcome {
  const isChanged = results.some(({ outcome }) => outcome === 'created' || outcome === 'updated');
  return { results, vehicleIds: isChanged ? [...concerned] : [] };
}
