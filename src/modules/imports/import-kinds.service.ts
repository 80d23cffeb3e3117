import { Injectable } from '@nestjs/common';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { planners, recorders } from '../../platform/security/role';
import { BlackoutPeriodsService } from '../blackout-periods/blackout-periods.service';
import type { BlackoutPeriodLine } from '../blackout-periods/dto/blackout-period-line.dto';
import { DepotsService } from '../depots/depots.service';
import { DueItemsService } from '../due-items/due-items.service';
import { DutyChangesService } from '../duty-changes/duty-changes.service';
import { FleetsService } from '../fleets/fleets.service';
import { GaugesService } from '../gauges/gauges.service';
import { HydraulicSystemsService } from '../hydraulic-systems/hydraulic-systems.service';
import { OdometerReadingsService } from '../odometer-readings/odometer-readings.service';
import { OdometerReplacementsService } from '../odometer-replacements/odometer-replacements.service';
import { OffRoadPeriodsService } from '../off-road-periods/off-road-periods.service';
import type { SystemTestLine } from '../system-tests/dto/system-test-line.dto';
import { SystemTestsService } from '../system-tests/system-tests.service';
import { TaskCompletionsService } from '../task-completions/task-completions.service';
import type { VehicleLine } from '../vehicles/dto/vehicle-line.dto';
import { VehiclesService } from '../vehicles/vehicles.service';
import {
  DutyChangeLine,
  HydraulicLayoutLine,
  OdometerReadingLine,
  OdometerReplacementLine,
  OffRoadPeriodLine,
  ServiceHistoryLine,
} from './dto/import-lines.dto';
import type { ImportKindDto } from './dto/import-kind.dto';
import { importKindNames, type BatchOutcome, type ImportKind, type ImportKindName } from './import-kind';
import { byKey, checkAs, columns, distinct, unknownKey, writeResolved } from './import-resolution';
import { PlaceImportKinds } from './place-import-kinds';
import { UnitImportKinds } from './unit-import-kinds';

const MEASURED_NUMBERS =
  'chargeSeconds idleSeconds pumpDeliveryLPerMin gasTemperatureC cutInBarGauge cutOutBarGauge warningBarGauge hours ' +
  'frontLossMm rearLossMm applicationsUntilWarning startBarGauge';

/** Every kind of file that can be handed over. */
@Injectable()
export class ImportKindsService {
  private readonly kinds: Readonly<Record<ImportKindName, ImportKind>>;

  constructor(
    private readonly fleets: FleetsService,
    private readonly depots: DepotsService,
    private readonly vehicles: VehiclesService,
    private readonly dueItems: DueItemsService,
    readings: OdometerReadingsService,
    replacements: OdometerReplacementsService,
    dutyChanges: DutyChangesService,
    offRoadPeriods: OffRoadPeriodsService,
    layouts: HydraulicSystemsService,
    completions: TaskCompletionsService,
    private readonly gauges: GaugesService,
    blackoutPeriods: BlackoutPeriodsService,
    systemTests: SystemTestsService,
    units: UnitImportKinds,
    places: PlaceImportKinds,
  ) {
    this.kinds = {
      ...units.kinds,
      ...places.kinds,
      vehicles: {
        columns: columns(
          'externalKey! depotKey! registrationMark! dutyClass! odometerUnit!',
          'fleetKey fleetNumber vin inServiceOn',
          'inServiceOdometerKm inServiceEngineHours statedYearlyDistanceKm',
        ),
        check: checkAs(this.vehicles.lineClass),
        write: (tx, principal, rows) => this.writeVehicles(tx, principal, rows as VehicleLine[]),
      },
      'duty-changes': {
        groupBy: 'vehicleKey',
        columns: columns('vehicleKey! fromOn! dutyClass!', 'externalKey note'),
        check: checkAs(DutyChangeLine),
        write: this.ofVehicles<DutyChangeLine>((tx, principal, rows) =>
          dutyChanges.writeBatch(tx, principal, rows),
        ),
      },
      'hydraulic-layouts': {
        groupBy: 'vehicleKey',
        columns: columns(
          'vehicleKey!',
          'pumpKind antiSinkValves rearBrakeAccumulator steeringSupply steeringRegulator fluid seenBy seenOn how',
          'reservoirLitres',
        ),
        check: checkAs(HydraulicLayoutLine),
        write: this.ofVehicles<HydraulicLayoutLine>((tx, principal, rows) =>
          layouts.writeBatch(tx, principal, rows),
        ),
      },
      'odometer-replacements': {
        groupBy: 'vehicleKey',
        columns: columns(
          'vehicleKey! replacedAt!',
          'externalKey meter oldUnit newUnit note',
          'oldFinalValue! newInitialValue!',
        ),
        check: checkAs(OdometerReplacementLine),
        write: this.ofVehicles<OdometerReplacementLine>((tx, principal, rows) =>
          replacements.writeBatch(tx, principal, rows),
        ),
      },
      'off-road-periods': {
        groupBy: 'vehicleKey',
        columns: columns('vehicleKey! fromOn! untilOn! reason!', 'externalKey'),
        check: checkAs(OffRoadPeriodLine),
        write: this.ofVehicles<OffRoadPeriodLine>((tx, principal, rows) =>
          offRoadPeriods.writeBatch(tx, principal, rows),
        ),
      },
      'blackout-periods': {
        roles: planners,
        groupBy: 'vehicleKey',
        columns: columns('vehicleKey! fromOn! untilOn! reason!', 'externalKey'),
        check: checkAs(blackoutPeriods.lineClass),
        write: this.ofVehicles<BlackoutPeriodLine>((tx, principal, rows) =>
          blackoutPeriods.writeBatch(tx, principal, rows),
        ),
      },
      'system-tests': {
        groupBy: 'vehicleKey',
        columns: columns(
          'vehicleKey! task! doneAt! doneBy!',
          'result gaugeCode note externalKey',
          `${MEASURED_NUMBERS} ambientTemperatureC altitudeM`,
          { booleans: 'cameOn' },
        ),
        check: checkAs(systemTests.lineClass, `${MEASURED_NUMBERS} result cameOn gaugeCode`),
        write: this.ofVehicles<SystemTestLine>((tx, principal, rows) =>
          this.writeSystemTests(tx, principal, rows, systemTests),
        ),
      },
      'odometer-readings': {
        groupBy: 'vehicleKey',
        columns: columns('vehicleKey! readAt! source!', 'externalKey unit meter', 'value!'),
        check: checkAs(OdometerReadingLine),
        write: this.ofVehicles<OdometerReadingLine>(
          (tx, principal, rows) => readings.writeAndRecompute(tx, principal, rows),
          { recomputes: true },
        ),
      },
      'service-history': {
        groupBy: 'vehicleKey',
        columns: columns(
          'vehicleKey! task! doneOn!',
          'externalKey position outcome odometerUnit doneBy note',
          'odometer engineHours',
        ),
        check: checkAs(ServiceHistoryLine),
        write: this.ofVehicles<ServiceHistoryLine>((tx, principal, rows) =>
          completions.writeBatch(
            tx,
            principal,
            rows.map(({ odometer, ...row }) => ({ ...row, odometerValue: odometer ?? null })),
          ),
        ),
      },
    };
  }

  private async writeSystemTests(
    tx: Tx,
    principal: Principal,
    lines: readonly (Omit<SystemTestLine, 'vehicleKey'> & { vehicleId: string })[],
    systemTests: SystemTestsService,
  ): Promise<BulkResult[]> {
    const codes = distinct(lines.flatMap(({ gaugeCode }) => gaugeCode ?? []));
    const gauges = new Map((await this.gauges.findByCodes(tx, codes)).map(({ code, id }) => [code, id]));
    const { results } = await writeResolved(
      lines,
      ({ gaugeCode, ...row }) => {
        const gaugeId = gaugeCode === undefined ? null : gauges.get(gaugeCode);
        return gaugeId === undefined
          ? unknownKey('gaugeCode', gaugeCode ?? '', 'gauge')
          : { ...row, gaugeId };
      },
      (rows) => systemTests.writeBatch(tx, principal, rows),
      () => null,
    );
    return results;
  }

  get(name: ImportKindName): ImportKind {
    return this.kinds[name];
  }

  /** What files of each kind may have, in the order in which kinds are handed over. */
  describe(): ImportKindDto[] {
    return importKindNames.map((kind) => {
      const { roles = recorders, columns: fields } = this.kinds[kind];
      return { kind, roles: [...roles], columns: fields.map((field) => ({ ...field })) };
    });
  }

  private async writeVehicles(
    tx: Tx,
    principal: Principal,
    rows: readonly VehicleLine[],
  ): Promise<BatchOutcome> {
    const depots = byKey(
      await this.depots.findByExternalKeys(tx, distinct(rows.map(({ depotKey }) => depotKey))),
    );
    const fleets = byKey(
      await this.fleets.findByExternalKeys(tx, distinct(rows.flatMap(({ fleetKey }) => fleetKey ?? []))),
    );
    return writeResolved(
      rows,
      ({ depotKey, fleetKey, ...row }) => {
        const depot = depots.get(depotKey);
        if (depot === undefined) return unknownKey('depotKey', depotKey, 'depot');
        if (typeof fleetKey === 'string' && fleets.get(fleetKey)?.id !== depot.fleetId) {
          return {
            pointer: '#/fleetKey',
            detail: `The depot "${depotKey}" does not belong to a fleet "${fleetKey}".`,
            remedy: 'correct the fleet or the depot, or leave the fleet empty',
          };
        }
        return { ...row, depotId: depot.id };
      },
      (resolved) => this.vehicles.writeBatch(tx, principal, resolved),
      (_, result) => result.subjectId,
    );
  }

  /** The writer of a kind whose lines name a vehicle by the operator's key. */
  private ofVehicles<Line extends { vehicleKey: string }>(
    write: (
      tx: Tx,
      principal: Principal,
      rows: (Omit<Line, 'vehicleKey'> & { vehicleId: string })[],
    ) => Promise<BulkResult[]>,
    { recomputes } = { recomputes: false },
  ): ImportKind['write'] {
    return async (tx, principal, lines) => {
      const rows = lines as Line[];
      const vehicles = byKey(
        await this.vehicles.findByExternalKeys(tx, distinct(rows.map(({ vehicleKey }) => vehicleKey))),
      );
      await this.dueItems.lockVehicles(
        tx,
        [...vehicles.values()].map(({ id }) => id),
      );
      return writeResolved(
        rows,
        ({ vehicleKey, ...row }) => {
          const vehicle = vehicles.get(vehicleKey);
          return vehicle === undefined
            ? unknownKey('vehicleKey', vehicleKey, 'vehicle')
            : { ...row, vehicleId: vehicle.id };
        },
        (resolved) => write(tx, principal, resolved),
        ({ vehicleKey }) => (recomputes ? null : (vehicles.get(vehicleKey)?.id ?? null)),
      );
    };
  }
}
