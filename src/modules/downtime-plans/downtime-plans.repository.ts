import { Injectable } from '@nestjs/common';
import { In, LessThan, type FindOptionsWhere } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { DowntimePlan, type PlanState } from './downtime-plan.entity';
import type { PlanOutcome, PlanStanding } from './plan-outcome';
import { PlannedItem, type ItemReason } from './planned-item.entity';
import { PlannedVisit, type Acceptance } from './planned-visit.entity';

/** A visit with the names that a reader wants. */
export interface VisitRow extends PlannedVisit {
  registrationMark: string;
  fleetNumber: string | null;
  depotName: string;
  workshopName: string;
  zone: string;
  items: PlannedItem[];
}

export interface VisitFilter {
  vehicleId?: string;
  workshopId?: string;
  depotId?: string;
  acceptance?: Acceptance;
}

interface Names {
  id: string;
  registrationMark: string;
  fleetNumber: string | null;
  depotName: string;
  workshopName: string;
  zone: string;
}

@Injectable()
export class DowntimePlansRepository {
  /** Newest first; one row more than `limit`. Without what is large. */
  list(tx: Tx, where: { fleetId?: string }, beforeId: string | null, limit: number): Promise<DowntimePlan[]> {
    const filter: FindOptionsWhere<DowntimePlan> = { ...where };
    if (beforeId !== null) filter.id = LessThan(beforeId);
    return tx.find(DowntimePlan, { where: filter, order: { id: 'DESC' }, take: limit + 1 });
  }

  find(tx: Tx, id: string): Promise<DowntimePlan | null> {
    return tx.findOneBy(DowntimePlan, { id });
  }

  lock(tx: Tx, id: string): Promise<DowntimePlan | null> {
    return tx.findOne(DowntimePlan, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  async create(tx: Tx, plan: DowntimePlan): Promise<void> {
    await tx.insert(DowntimePlan, plan);
  }

  /** What changes while a plan is made; none of it is a new revision. */
  async setStanding(tx: Tx, id: string, progress: PlanStanding): Promise<{ stopRequested: boolean } | null> {
    const [[row]] = await tx.query<[{ stopRequested: boolean }[], number]>(
      `UPDATE downtime_plans SET progress = $2 WHERE id = $1 AND state = 'running'
        RETURNING stop_requested AS "stopRequested"`,
      [id, JSON.stringify(progress)],
    );
    return row ?? null;
  }

  async setState(
    tx: Tx,
    id: string,
    from: readonly PlanState[],
    state: PlanState,
    values: { outcome?: PlanOutcome; failure?: string; ended?: boolean } = {},
  ): Promise<boolean> {
    const { outcome, failure, ended = false } = values;
    const [rows] = await tx.query<[unknown[], number]>(
      `UPDATE downtime_plans SET state = $3, outcome = COALESCE($4::jsonb, outcome), failure = $5,
          ended_at = CASE WHEN $6 THEN clock_timestamp() ELSE ended_at END,
          revision = revision + 1, updated_at = clock_timestamp()
        WHERE id = $1 AND state = ANY ($2::text[]) RETURNING id`,
      [id, from, state, outcome === undefined ? null : JSON.stringify(outcome), failure ?? null, ended],
    );
    return rows.length > 0;
  }

  async requestStop(tx: Tx, id: string): Promise<void> {
    await tx.query(
      `UPDATE downtime_plans SET stop_requested = true, revision = revision + 1, updated_at = clock_timestamp()
        WHERE id = $1`,
      [id],
    );
  }

  /** @param visits and `items`: JSON arrays of rows, which go to the database as they are */
  async addResult(tx: Tx, visits: readonly string[], items: readonly string[]): Promise<void> {
    for (const rows of visits)
      await tx.query(
        `INSERT INTO planned_visits (organisation_id, id, plan_id, fleet_id, depot_id, vehicle_id, workshop_id, visit_on,
            until_on, starts_at, ends_at, bay_id, technician_ids, work_minutes, visit_cost_minor, item_cost_minor, locked)
          SELECT * FROM jsonb_to_recordset($1::jsonb) AS r ("organisationId" uuid, id uuid, "planId" uuid, "fleetId" uuid,
            "depotId" uuid, "vehicleId" uuid, "workshopId" uuid, "visitOn" date, "untilOn" date, "startsAt" timestamptz,
            "endsAt" timestamptz, "bayId" uuid, "technicianIds" uuid[], "workMinutes" integer, "visitCostMinor" bigint,
            "itemCostMinor" bigint, locked boolean)`,
        [rows],
      );
    for (const rows of items)
      await tx.query(
        `INSERT INTO planned_items (organisation_id, plan_id, fleet_id, vehicle_id, visit_id, item_key, reason, details)
          SELECT * FROM jsonb_to_recordset($1::jsonb) AS r ("organisationId" uuid, "planId" uuid, "fleetId" uuid,
            "vehicleId" uuid, "visitId" uuid, "itemKey" text, reason text, details jsonb)`,
        [rows],
      );
  }

  /** In order of day; one row more than `limit`. */
  async visits(
    tx: Tx,
    planId: string,
    { vehicleId, workshopId, depotId, acceptance }: VisitFilter,
    after: { on: string; id: string } | null,
    limit: number,
  ): Promise<VisitRow[]> {
    const names = await tx.query<Names[]>(
      `SELECT p.id, v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber",
          d.name AS "depotName", w.name AS "workshopName", w.zone
        FROM planned_visits p
          JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id
          JOIN depots d ON d.organisation_id = p.organisation_id AND d.id = p.depot_id
          JOIN workshops w ON w.organisation_id = p.organisation_id AND w.id = p.workshop_id
        WHERE p.plan_id = $1 AND ($2::uuid IS NULL OR p.vehicle_id = $2) AND ($3::uuid IS NULL OR p.workshop_id = $3)
          AND ($4::uuid IS NULL OR p.depot_id = $4) AND ($5::text IS NULL OR p.acceptance = $5)
          AND ($6::date IS NULL OR (p.visit_on, p.id) > ($6::date, $7::uuid))
        ORDER BY p.visit_on, p.id LIMIT $8`,
      [
        planId,
        vehicleId ?? null,
        workshopId ?? null,
        depotId ?? null,
        acceptance ?? null,
        after?.on ?? null,
        after?.id ?? null,
        limit + 1,
      ],
    );
    const ids = names.map(({ id }) => id);
    const visits = await tx.findBy(PlannedVisit, { planId, id: In(ids) });
    const items = await tx.find(PlannedItem, {
      where: { planId, visitId: In(ids) },
      order: { itemKey: 'ASC' },
    });
    return names.map((name) => ({
      ...visits.find(({ id }) => id === name.id)!,
      ...name,
      items: items.filter(({ visitId }) => visitId === name.id),
    }));
  }

  async knownVisitIds(tx: Tx, planId: string, visitIds: readonly string[]): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT id FROM planned_visits WHERE plan_id = $1 AND id = ANY ($2::uuid[])`,
      [planId, visitIds],
    );
    return rows.map(({ id }) => id);
  }

  /** Ids of visits that nobody has decided on, the earliest first. */
  async openVisitIds(tx: Tx, planId: string, visitIds: readonly string[] | null): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT id FROM planned_visits WHERE plan_id = $1 AND acceptance <> 'booked'
          AND ($2::uuid[] IS NULL OR id = ANY ($2::uuid[]))
        ORDER BY visit_on, id`,
      [planId, visitIds],
    );
    return rows.map(({ id }) => id);
  }

  async lockVisit(tx: Tx, planId: string, id: string): Promise<PlannedVisit | null> {
    return tx.findOne(PlannedVisit, { where: { planId, id }, lock: { mode: 'pessimistic_write' } });
  }

  itemsOfVisit(tx: Tx, planId: string, visitId: string): Promise<PlannedItem[]> {
    return tx.find(PlannedItem, { where: { planId, visitId }, order: { itemKey: 'ASC' } });
  }

  /** A visit that is booked stays booked, even if the job runs twice at once. */
  async decideVisit(
    tx: Tx,
    id: string,
    decision: { bookingId: string } | { refusal: string },
  ): Promise<void> {
    const isBooked = 'bookingId' in decision;
    await tx.query(
      `UPDATE planned_visits SET acceptance = $2, booking_id = $3, refusal = $4 WHERE id = $1 AND acceptance <> 'booked'`,
      [
        id,
        isBooked ? 'booked' : 'refused',
        isBooked ? decision.bookingId : null,
        isBooked ? null : decision.refusal,
      ],
    );
  }

  async countVisits(tx: Tx, planId: string): Promise<Record<Acceptance, number>> {
    const rows = await tx.query<{ acceptance: Acceptance; count: string }[]>(
      `SELECT acceptance, count(*) FROM planned_visits WHERE plan_id = $1 GROUP BY acceptance`,
      [planId],
    );
    const of = (acceptance: Acceptance): number =>
      Number(rows.find((row) => row.acceptance === acceptance)?.count ?? 0);
    return { open: of('open'), booked: of('booked'), refused: of('refused') };
  }

  /** In order of id; one row more than `limit`. */
  items(
    tx: Tx,
    planId: string,
    filter: { vehicleId?: string; reason?: ItemReason },
    afterId: string | null,
    limit: number,
  ): Promise<(PlannedItem & { registrationMark: string })[]> {
    return tx.query<(PlannedItem & { registrationMark: string })[]>(
      `SELECT i.id, i.vehicle_id AS "vehicleId", i.visit_id AS "visitId", i.item_key AS "itemKey", i.reason, i.details,
          v.registration_mark AS "registrationMark"
        FROM planned_items i JOIN vehicles v ON v.organisation_id = i.organisation_id AND v.id = i.vehicle_id
        WHERE i.plan_id = $1 AND ($2::uuid IS NULL OR i.vehicle_id = $2) AND ($3::text IS NULL OR i.reason = $3)
          AND ($4::uuid IS NULL OR i.id > $4)
        ORDER BY i.id LIMIT $5`,
      [planId, filter.vehicleId ?? null, filter.reason ?? null, afterId, limit + 1],
    );
  }
}
