import { Injectable } from '@nestjs/common';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import { GasUnitEventsService } from '../gas-unit-events/gas-unit-events.service';
import { UnitMoverService } from '../gas-units/unit-mover.service';
import { HydraulicSystemsService } from '../hydraulic-systems/hydraulic-systems.service';
import { OdometerReadingsService } from '../odometer-readings/odometer-readings.service';
import { SystemTestsService } from '../system-tests/system-tests.service';
import { TaskCompletionsService } from '../task-completions/task-completions.service';
import { entryFaults } from './entry-faults';
import { noSpareUnit, refusedEntries } from './job-sheets.errors';
import { JobSheetsRepository } from './job-sheets.repository';
import type { Planned, PlannedExchange, PlannedResults } from './plan-results';

/** How what was entered is named to whoever sent it. */
export type PointerOf = (key: string, field: string) => string;

export interface RecordedResults {
  warnings: string[];
  /** ids of what was recorded, by the key of the step */
  idOf: Map<string, string>;
}

type FoundExchange = PlannedExchange & { key: string; unitId: string };

/** Hands the results of a job to those who keep them, in the transaction of the job. */
@Injectable()
export class JobResultsService {
  constructor(
    private readonly sheets: JobSheetsRepository,
    private readonly readings: OdometerReadingsService,
    private readonly layouts: HydraulicSystemsService,
    private readonly events: GasUnitEventsService,
    private readonly tests: SystemTestsService,
    private readonly completions: TaskCompletionsService,
    private readonly mover: UnitMoverService,
  ) {}

  /**
   * Records everything; the vehicle is taken, and its due items are computed again, by the caller.
   *
   * @throws CodedError that names each entry that is missing or not acceptable
   */
  async record(
    tx: Tx,
    principal: Principal,
    results: PlannedResults,
    { vehicleId, finishedAt, by, pointerOf }: JobContext,
  ): Promise<RecordedResults> {
    const faults: FieldError[] = [...results.faults];
    const exchanges = await this.spareUnits(tx, results.exchanges, pointerOf, faults);
    if (faults.length > 0) throw refusedEntries(faults);

    const recorded: RecordedResults = { warnings: [], idOf: new Map() };
    const keep = async <Row>(
      planned: readonly Planned<Row>[],
      write: (rows: Row[]) => Promise<BulkResult[]>,
    ): Promise<BulkResult[]> => {
      if (planned.length === 0) return [];
      const outcomes = await write(planned.map(({ row }) => row));
      for (const [index, { subjectId, errors }] of outcomes.entries()) {
        const { step } = planned[index] as Planned<Row>;
        if (subjectId !== null && !recorded.idOf.has(step.key)) recorded.idOf.set(step.key, subjectId);
        faults.push(...entryFaults(step, errors, pointerOf));
      }
      return outcomes;
    };
    const { readings, layout, events, tests, completions } = results;
    const read = await keep(readings, (rows) => this.readings.writeBatch(tx, principal, rows));
    const inDoubt = readings.filter((_, index) => read[index]?.outcome === 'quarantined');
    for (const { row, step } of inDoubt) recorded.warnings.push(doubtOf(step.title, row));
    // a date moves on no reading in doubt, whichever way it comes
    const odometerInDoubt = inDoubt.some(({ row }) => row.meter !== 'engine-hours');
    const work = odometerInDoubt ? completions.map(withoutOdometer) : completions;
    await keep(layout, (rows) => this.layouts.writeBatch(tx, principal, rows));
    await keep(events, (rows) => this.events.writeBatch(tx, principal, rows));
    await keep(tests, (rows) => this.tests.writeBatch(tx, principal, rows));
    await keep(work, (rows) => this.completions.writeBatch(tx, principal, rows));
    if (faults.length > 0) throw refusedEntries(faults);
    recorded.warnings.push(
      ...(await this.exchange(tx, principal, exchanges, { vehicleId, finishedAt, by, pointerOf })),
    );
    return recorded;
  }

  private async spareUnits(
    tx: Tx,
    planned: readonly Planned<PlannedExchange>[],
    pointerOf: PointerOf,
    faults: FieldError[],
  ): Promise<FoundExchange[]> {
    const found: FoundExchange[] = [];
    for (const { step, row } of planned) {
      const { serialNumber } = row.exchange;
      const spare = await this.sheets.spareUnits(tx, serialNumber);
      const [only] = spare;
      if (spare.length === 1 && only !== undefined) found.push({ ...row, key: step.key, unitId: only.id });
      else faults.push(noSpareUnit(pointerOf(step.key, 'exchange/serialNumber'), serialNumber, spare.length));
    }
    return found;
  }

  private async exchange(
    tx: Tx,
    principal: Principal,
    exchanges: readonly FoundExchange[],
    { vehicleId, finishedAt, by, pointerOf }: JobContext,
  ): Promise<string[]> {
    if (exchanges.length === 0) return [];
    const nowhere = { vehicleId: null, position: null, depotId: null, awayWith: null, vehicleTotalKm: null };
    const { warnings } = await this.mover.move(tx, principal, {
      at: finishedAt,
      atPointer: '#/finishedAt',
      movedBy: by,
      displaced: null,
      faults: [],
      moves: exchanges.flatMap(({ key, removedUnitId, unitId, position, exchange }) => {
        const pointer = pointerOf(key, 'exchange');
        const common = { pointer, toPointer: pointer, leavingTotalKm: null, note: null };
        return [
          { ...common, unitId: removedUnitId, to: { ...nowhere, state: exchange.takenOutTo } },
          { ...common, unitId, to: { ...nowhere, state: 'fitted' as const, vehicleId, position } },
        ];
      }),
    });
    return warnings;
  }
}

export interface JobContext {
  vehicleId: string;
  finishedAt: Date;
  /** who answers for it */
  by: string;
  pointerOf: PointerOf;
}

function doubtOf(title: string, { meter }: { meter?: string | null }): string {
  const what = meter === 'engine-hours' ? 'the engine hours are' : 'the reading is';
  return `${title}: ${what} in doubt until somebody decides; no due date moved by it.`;
}

function withoutOdometer<Row extends object>({ step, row }: Planned<Row>): Planned<Row> {
  return { step, row: { ...row, odometerValue: null, odometerUnit: null } };
}
