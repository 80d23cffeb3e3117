import { Client } from 'pg';
import { createBenchFleet, type BenchFleet } from '../bench/bench-fleet';

/** An organisation with rows in every table of the schema, written past the API. */
export interface FilledOrganisation extends BenchFleet {
  fleetId: string;
  /** a second fleet with a depot and a vehicle of its own */
  otherFleetId: string;
}

export async function fillOrganisation(ownerUrl: string, vehicleCount: number): Promise<FilledOrganisation> {
  const bench = await createBenchFleet(ownerUrl, vehicleCount);
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [bench.organisationId]);
    const fleets = await client.query<{ id: string }>(`SELECT id FROM fleets WHERE organisation_id = $1`, [
      bench.organisationId,
    ]);
    const other = await client.query<{ id: string }>(
      `INSERT INTO fleets (organisation_id, name) VALUES ($1, 'other') RETURNING id`,
      [bench.organisationId],
    );
    const [fleetId, otherFleetId] = [fleets.rows[0]!.id, other.rows[0]!.id];
    await client.query(
      `WITH depot AS (
        INSERT INTO depots (organisation_id, fleet_id, name, zone) VALUES ($1, $2, 'other', 'Europe/Paris') RETURNING id
      )
      INSERT INTO vehicles (organisation_id, fleet_id, depot_id, registration_mark, duty_class, odometer_unit)
        SELECT $1, $2, id, 'OTHER 1', 'standard', 'mi' FROM depot`,
      [bench.organisationId, otherFleetId],
    );
    for (const statement of OF_EVERY_VEHICLE) await client.query(statement, [bench.organisationId]);
    return { ...bench, fleetId, otherFleetId };
  } finally {
    await client.end();
  }
}

const OF_EVERY_VEHICLE = [
  `INSERT INTO hydraulic_layouts (organisation_id, vehicle_id, fleet_id, pump_kind, anti_sink_valves,
      rear_brake_accumulator, steering_supply, steering_regulator, evidence, recorded_by)
    SELECT organisation_id, id, fleet_id, 'unverified', 'unverified', 'unverified', 'unverified', 'unverified', '{}', 'test'
      FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO odometer_replacements (organisation_id, vehicle_id, fleet_id, meter, replaced_at, old_final_value,
      old_unit, new_initial_value, new_unit)
    SELECT organisation_id, id, fleet_id, 'odometer', '2020-01-01', 1000, 'km', 0, 'km' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO odometer_readings (organisation_id, vehicle_id, fleet_id, meter, value, unit, read_at, source, state)
    SELECT organisation_id, id, fleet_id, 'engine-hours', 100, 'h', '2026-01-01', 'workshop', 'quarantined'
      FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO duty_changes (organisation_id, vehicle_id, fleet_id, from_on, duty_class)
    SELECT organisation_id, id, fleet_id, '2024-02-29', 'severe' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO off_road_periods (organisation_id, vehicle_id, fleet_id, from_on, until_on, reason)
    SELECT organisation_id, id, fleet_id, '2025-03-01', '2025-03-15', 'gearbox' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO task_completions (organisation_id, vehicle_id, fleet_id, task, done_on)
    SELECT organisation_id, id, fleet_id, 'task-1', '2025-06-01' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO due_items (organisation_id, vehicle_id, fleet_id, depot_id, item_key, task, safety_critical, details, reasoning)
    SELECT organisation_id, id, fleet_id, depot_id, 'task-1', 'task-1', false, '{}', '{}' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO usage_models (organisation_id, fleet_id, meter, duty_class, model, back_test)
    SELECT organisation_id, id, 'odometer', 'standard', '{}', '{}' FROM fleets WHERE organisation_id = $1`,
  `INSERT INTO holds (organisation_id, vehicle_id, fleet_id, reason, placed_by)
    SELECT organisation_id, id, fleet_id, 'pipe to be looked at', 'test' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO hold_overrides (organisation_id, vehicle_id, fleet_id, reason_keys, named_person, statement, from_on,
      until_on, recorded_by)
    SELECT organisation_id, id, fleet_id, '[]', 'foreman', 'seen and safe', '2026-11-01', '2026-11-02', 'test'
      FROM vehicles WHERE organisation_id = $1`,
  `WITH type AS (
      INSERT INTO gas_unit_types (organisation_id, code, name, roles, nominal_precharge20_bar_gauge, gas_volume_cm3,
          damper_integral)
        VALUES ($1, 'sphere-55', 'Suspension unit', '{suspension}', 55, 400, true) RETURNING id
    ), model AS (
      INSERT INTO precharge_models (organisation_id, unit_type_id, model, learning) SELECT $1, id, '{}', '{}' FROM type
    )
    INSERT INTO gas_units (organisation_id, fleet_id, unit_type_id, serial_number)
      SELECT $1, v.fleet_id, type.id, v.id FROM type CROSS JOIN vehicles v WHERE v.organisation_id = $1`,
  `INSERT INTO unit_positions (organisation_id, code, name, role) VALUES ($1, 'centre', 'Centre', 'suspension')`,
  `INSERT INTO gauges (organisation_id, code, name, range_high_bar_gauge) VALUES ($1, 'G-1', 'Rig gauge', 250)`,
  `INSERT INTO unit_placements (organisation_id, fleet_id, unit_id, state, vehicle_id, position, from_at, moved_by)
    SELECT $1, fleet_id, id, 'fitted', serial_number::uuid, 'suspension-front-left', '2025-01-01', 'test'
      FROM gas_units WHERE organisation_id = $1`,
  `INSERT INTO gas_unit_events (organisation_id, fleet_id, unit_id, kind, done_at, pressure_bar_gauge, gas_temperature_c,
      ambient_bar, precharge20_bar_gauge, ideal_precharge20_bar_gauge, outcome, outcome_reasons, limits, done_by)
    SELECT $1, fleet_id, id, 'charge', '2025-01-01', 55, 20, 1.01325, 55, 55, 'passed', '[]', '{}', 'test'
      FROM gas_units WHERE organisation_id = $1`,
  `INSERT INTO system_tests (organisation_id, vehicle_id, fleet_id, task, done_at, measured, limits, outcome,
      outcome_reasons, findings, done_by)
    SELECT organisation_id, id, fleet_id, 'brake-reserve-test', '2025-01-01', '{}', '{}', 'passed', '[]', '{}', 'test'
      FROM vehicles WHERE organisation_id = $1`,
  `WITH workshop AS (
      INSERT INTO workshops (organisation_id, name, zone, weekly_hours, day_exceptions, vehicle_stay, minutes_before,
          minutes_after, grid_minutes)
        VALUES ($1, 'Workshop', 'Europe/London', '{}', '[]', 'overnight', 0, 0, 15) RETURNING id
    ), bay AS (
      INSERT INTO bays (organisation_id, workshop_id, name, kinds, closures)
        SELECT $1, id, 'Lift 1', '{lift}', '[]' FROM workshop RETURNING id
    ), technician AS (
      INSERT INTO technicians (organisation_id, workshop_id, name, competences, shifts, shift_exceptions, absences)
        SELECT $1, id, 'Alder', '[]', '{}', '[]', '[]' FROM workshop RETURNING id
    ), booking AS (
      INSERT INTO bookings (organisation_id, fleet_id, vehicle_id, workshop_id, bay_id, technician_ids, state, starts_at,
          ends_at, bay_from_at, bay_until_at, pieces, work, work_minutes, minutes_before, minutes_after, cause, booked_by)
        SELECT $1, v.fleet_id, v.id, w.id, b.id, ARRAY[t.id], 'confirmed', '2027-01-01 09:00Z', '2027-01-01 10:00Z',
            '2027-01-01 09:00Z', '2027-01-01 10:00Z', '[]', '{}', 60, 0, 0, 'planned', 'test'
          FROM vehicles v, workshop w, bay b, technician t WHERE v.organisation_id = $1 RETURNING id, fleet_id, vehicle_id
    ), sheets AS (
      INSERT INTO job_sheets (organisation_id, booking_id, fleet_id, vehicle_id, workshop_id, state, sheet, entries,
          parts_used, work_found)
        SELECT $1, b.id, b.fleet_id, b.vehicle_id, w.id, 'open', '{}', '[]', '[]', '[]' FROM booking b, workshop w
    ), of_vehicles AS (
      INSERT INTO booking_allocations (organisation_id, booking_id, vehicle_id, fleet_id, resource_id, starts_at, ends_at)
        SELECT $1, id, vehicle_id, fleet_id, vehicle_id, '2027-01-01 09:00Z', '2027-01-01 10:00Z' FROM booking
    )
    INSERT INTO booking_allocations (organisation_id, booking_id, bay_id, resource_id, starts_at, ends_at)
      SELECT $1, (SELECT id FROM booking LIMIT 1), id, id, '2027-01-01 09:00Z', '2027-01-01 10:00Z' FROM bay`,
  `INSERT INTO blackout_periods (organisation_id, vehicle_id, fleet_id, from_on, until_on, reason)
    SELECT organisation_id, id, fleet_id, '2027-03-01', '2027-03-15', 'stretcher lift' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO roster_needs (organisation_id, depot_id, fleet_id, needed_by_weekday, exceptions)
    SELECT organisation_id, id, fleet_id, '{1,1,1,1,1,0,0}', '[]' FROM depots WHERE organisation_id = $1`,
  `WITH reaches AS (
      INSERT INTO workshop_reaches (organisation_id, depot_id, fleet_id)
        SELECT organisation_id, id, fleet_id FROM depots WHERE organisation_id = $1 RETURNING depot_id, fleet_id
    )
    INSERT INTO reachable_workshops (organisation_id, depot_id, fleet_id, workshop_id, transfer_minutes, transfer_cost_minor)
      SELECT $1, r.depot_id, r.fleet_id, w.id, 20, 1500 FROM reaches r, workshops w WHERE w.organisation_id = $1`,
  `INSERT INTO planning_settings (organisation_id, currency, visit_loss_minor, value_per_item_minor, value_by_task,
      risk_per_late_day_safety_critical_minor, risk_per_late_day_other_minor, left_out_minor, horizon_days)
    VALUES ($1, 'EUR', 15000, 12000, '[]', 8000, 800, 500000, 90)`,
  `WITH plan AS (
      INSERT INTO downtime_plans (organisation_id, fleet_id, depot_ids, name, from_on, until_on, seed, effort, wishes,
          assumptions, state, created_by)
        SELECT $1, v.fleet_id, array_agg(DISTINCT v.depot_id), 'quarter', '2027-01-01', '2027-04-01', 1, 'normal',
            '{"locked": [], "forbidden": []}', '[]', 'ready', 'test'
          FROM vehicles v WHERE v.organisation_id = $1 GROUP BY v.fleet_id RETURNING id, fleet_id
    ), visit AS (
      INSERT INTO planned_visits (organisation_id, plan_id, fleet_id, depot_id, vehicle_id, workshop_id, visit_on,
          until_on, work_minutes, visit_cost_minor, item_cost_minor, locked)
        SELECT $1, p.id, p.fleet_id, v.depot_id, v.id, w.id, '2027-01-04', '2027-01-04', 60, 15000, 0, false
          FROM plan p JOIN vehicles v ON v.organisation_id = $1 AND v.fleet_id = p.fleet_id,
            workshops w WHERE w.organisation_id = $1
        RETURNING id, plan_id, fleet_id, vehicle_id
    )
    INSERT INTO planned_items (organisation_id, plan_id, fleet_id, vehicle_id, visit_id, item_key, reason, details)
      SELECT $1, plan_id, fleet_id, vehicle_id, id, 'fluid-change', 'on-due-day', '{}' FROM visit`,
  `INSERT INTO calendar_feeds (organisation_id, label, workshop_id, with_names, secret_id, secret_sha256, secret_made_at, created_by)
    SELECT $1, 'front desk', id, false, $1, '\\x00', now(), 'test' FROM workshops WHERE organisation_id = $1`,
  `WITH person AS (
      INSERT INTO people (organisation_id, name, email, address_digest, role, state, password_hash, invited_at, created_by)
        VALUES ($1, 'Wren', 'wren@tarn-valley.example', '\\x00', 'front-desk', 'active', 'x', now(), 'test') RETURNING id
    ), session AS (
      INSERT INTO person_sessions (organisation_id, person_id, token_sha256, idle_ends_at, ends_at)
        SELECT $1, id, '\\x00', now() + interval '12 hours', now() + interval '14 days' FROM person
    )
    INSERT INTO known_networks (organisation_id, person_id, network, last_signed_in_at)
      SELECT $1, id, '192.0.2.1', now() FROM person`,
  `INSERT INTO oauth_clients (organisation_id, name, role, scopes, secret_id, secret_sha256, secret_made_at, created_by)
    VALUES ($1, 'dealer system', 'dealer-system', '{read}', $1, '\\x00', now(), 'test')`,
  `INSERT INTO idempotency_records (organisation_id, actor_id, idempotency_key, fingerprint, response)
    VALUES ($1, $1, 'a-key-of-the-test', 'x', '{}')`,
  `WITH import AS (
      INSERT INTO imports (organisation_id, kind, dry_run, state, created_by)
        VALUES ($1, 'vehicles', false, 'running', 'test') RETURNING id
    ), chunk AS (
      INSERT INTO import_chunks (organisation_id, import_id, chunk_number, bytes) SELECT $1, id, 0, '\\x00' FROM import
    )
    INSERT INTO import_lines (organisation_id, import_id, line_number, outcome) SELECT $1, id, 2, 'rejected' FROM import`,
  `INSERT INTO audit_entries (organisation_id, actor, action, subject_type, subject_id)
    VALUES ($1, 'test', 'created', 'organisation', $1)`,
  `INSERT INTO audit_seals (organisation_id, position, entry_id, hash)
    SELECT $1, row_number() OVER (ORDER BY sequence), id, decode(repeat('00', 32), 'hex')
      FROM audit_entries WHERE organisation_id = $1`,
  `INSERT INTO events (organisation_id, type, subject_type, subject_id, vehicle_id, fleet_id, data)
    SELECT organisation_id, 'vehicle.created', 'vehicle', id, id, fleet_id, '{}' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO announced_states (organisation_id, vehicle_id, fleet_id, item, state)
    SELECT organisation_id, id, fleet_id, 'vehicle', 'on-hold' FROM vehicles WHERE organisation_id = $1`,
  `INSERT INTO event_horizons (organisation_id, settled_before) VALUES ($1, 0)`,
  `WITH endpoint AS (
      INSERT INTO webhook_endpoints (organisation_id, url, enabled, fleet_ids, consent_request_id,
          consent_requested_at, challenge, cursor_xid, cursor_sequence, created_by)
        SELECT $1, 'https://receiver.example/', true, ARRAY[id], $1, now(), 'x', 0, 0, 'test' FROM fleets
          WHERE organisation_id = $1 AND name = 'other' RETURNING id
    ), secret AS (
      INSERT INTO webhook_signing_secrets (organisation_id, endpoint_id, sealed) SELECT $1, id, '\\x00' FROM endpoint
    ), lane AS (
      INSERT INTO webhook_lanes (organisation_id, endpoint_id, lane) SELECT $1, id, 'organisation' FROM endpoint
    )
    INSERT INTO webhook_deliveries (organisation_id, endpoint_id, event_id, event_type, lane, xid, sequence, state)
      SELECT $1, id, $1, 'organisation.changed', 'organisation', 0, 0, 'dead' FROM endpoint`,
];
