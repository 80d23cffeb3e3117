import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import type { CompletedWork, VehicleOfWork } from './completed-work';
import { TaskCompletion } from './task-completion.entity';

export interface TaskCompletionFilter {
  task?: string;
  includeVoided?: boolean;
}

@Injectable()
export class TaskCompletionsRepository {
  /** The latest first; one row more than `limit`, so that the caller knows whether there is a next page. */
  list(
    tx: Tx,
    vehicleId: string,
    filter: TaskCompletionFilter,
    after: { doneOn: string; id: string } | null,
    limit: number,
  ): Promise<TaskCompletion[]> {
    const query = tx
      .createQueryBuilder(TaskCompletion, 't')
      .where('t.vehicleId = :vehicleId', { vehicleId })
      .orderBy('t.doneOn', 'DESC')
      .addOrderBy('t.id', 'DESC')
      .limit(limit + 1);
    if (filter.task !== undefined) query.andWhere('t.task = :task', { task: filter.task });
    if (filter.includeVoided !== true) query.andWhere('t.voidedAt IS NULL');
    if (after !== null) query.andWhere('(t.doneOn, t.id) < (:doneOn::date, :id::uuid)', after);
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<TaskCompletion | null> {
    return tx.findOneBy(TaskCompletion, { id });
  }

  create(
    tx: Tx,
    values: CompletedWork & Pick<TaskCompletion, 'organisationId' | 'fleetId'>,
  ): Promise<TaskCompletion> {
    return tx.save(
      TaskCompletion,
      tx.create(TaskCompletion, { ...values, voidedAt: null, voidedBy: null, voidReason: null }),
    );
  }

  save(tx: Tx, completion: TaskCompletion): Promise<TaskCompletion> {
    return tx.save(TaskCompletion, completion);
  }

  async vehicles(tx: Tx, vehicleIds: readonly string[]): Promise<Map<string, VehicleOfWork>> {
    const rows = await tx.query<VehicleOfWork[]>(
      `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", d.zone, v.odometer_unit AS "odometerUnit",
          v.in_service_on::text AS "inServiceOn"
        FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        WHERE v.id = ANY ($1::uuid[])`,
      [vehicleIds],
    );
    return new Map(rows.map((row) => [row.vehicleId, row]));
  }

  /** Records that rows of a batch may repeat or correct, voided ones too, in the order of recording. */
  findForBatch(
    tx: Tx,
    rows: readonly { vehicleId: string; doneOn: string; externalKey?: string | null }[],
  ): Promise<TaskCompletion[]> {
    const vehicleIds = [...new Set(rows.map(({ vehicleId }) => vehicleId))];
    const days = [...new Set(rows.map(({ doneOn }) => doneOn))];
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    return tx.find(TaskCompletion, {
      where: [{ vehicleId: In(vehicleIds), doneOn: In(days) }, { externalKey: In(keys) }],
      order: { id: 'ASC' },
    });
  }

  /** Ids by place in `rows`; a row whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    rows: (CompletedWork & { fleetId: string })[],
  ): Promise<{ place: number; id: string }[]> {
    // ids in the order of the rows: of two completions on one day the one with the greater id came later
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM (
          SELECT * FROM json_to_recordset($2::json) AS r (place integer, "vehicleId" uuid, "fleetId" uuid, task text,
            position text, "doneOn" date, "odometerValue" double precision, "odometerUnit" text,
            "engineHours" double precision, outcome text, "doneBy" text, note text, "externalKey" text) ORDER BY place
        ) r
      ), added AS (
        INSERT INTO task_completions (organisation_id, id, vehicle_id, fleet_id, task, position, done_on,
            odometer_value, odometer_unit, engine_hours, outcome, done_by, note, external_key)
          SELECT $1, id, "vehicleId", "fleetId", task, position, "doneOn", "odometerValue", "odometerUnit",
            "engineHours", outcome, "doneBy", note, "externalKey" FROM incoming ORDER BY place
          ON CONFLICT ON CONSTRAINT task_completions_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id) ORDER BY place`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  async updateMany(tx: Tx, completions: readonly TaskCompletion[]): Promise<void> {
    if (completions.length === 0) return;
    await tx.query(
      `UPDATE task_completions t SET
          (task, position, done_on, odometer_value, odometer_unit, engine_hours, outcome, done_by, note, revision) =
          (r.task, r.position, r."doneOn", r."odometerValue", r."odometerUnit", r."engineHours", r.outcome, r."doneBy",
            r.note, r.revision)
        FROM json_to_recordset($1::json) AS r (id uuid, task text, position text, "doneOn" date,
          "odometerValue" double precision, "odometerUnit" text, "engineHours" double precision, outcome text, "doneBy" text,
          note text, revision integer)
        WHERE t.id = r.id`,
      [JSON.stringify(completions)],
    );
  }
}
