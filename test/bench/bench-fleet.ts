import { randomUUID } from 'node:crypto';
import { Client } from 'pg';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';

export interface BenchFleet extends NewOrganisation {
  /** two versions of one programme that give every item another window */
  versionIds: [string, string];
  programmeId: string;
  vehicleIds: string[];
}

const TASKS = [1, 2, 3, 4, 5, 6, 7, 8].map((number) => `task-${number}`);

/** A programme of eight rules for whole vehicles, so that a vehicle owes eight items. */
function rules(earlyDays: number): object[] {
  return TASKS.map((task, index) => ({
    code: task,
    task,
    title: `Service task ${index + 1}`,
    everyMonths: 6 + 3 * index,
    everyKm: 10_000 + 5_000 * index,
    tolerance: { earlyDays, lateDays: 14, earlyKm: 500, lateKm: 500 },
    safetyCritical: index === 0,
    labourMinutes: 30 + 10 * index,
    competences: ['hydraulics'],
    bayKind: 'lift',
  }));
}

/** Vehicles with three years of monthly readings and two completions of each task, written straight into the tables. */
export async function createBenchFleet(ownerUrl: string, vehicleCount: number): Promise<BenchFleet> {
  const organisation = await createOrganisation(ownerUrl, `bench ${vehicleCount}`);
  const { organisationId } = organisation;
  const [fleetId, depotId, programmeId, ...versionIds] = [1, 2, 3, 4, 5].map(() => randomUUID());
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query('SELECT set_config($1, $2, false)', ['app.organisation_id', organisationId]);
    await client.query(
      `INSERT INTO service_programmes (organisation_id, id, name, origin, origin_note) VALUES ($1, $2, 'bench', 'own', 'made for a measurement')`,
      [organisationId, programmeId],
    );
    for (const [index, versionId] of versionIds.entries()) {
      await client.query(
        `INSERT INTO service_programme_versions (organisation_id, id, programme_id, version_number, state, effective_on, rules, severity_by_duty_class)
          VALUES ($1, $2, $3, $4, 'published', '2020-01-01', $5, '{}')`,
        [organisationId, versionId, programmeId, index + 1, JSON.stringify(rules(30 + index))],
      );
    }
    await client.query(`UPDATE service_programmes SET current_version_id = $2 WHERE organisation_id = $1`, [
      organisationId,
      versionIds[0],
    ]);
    await client.query(
      `UPDATE organisations SET default_service_programme_id = $2 WHERE organisation_id = $1`,
      [organisationId, programmeId],
    );
    await client.query(`INSERT INTO fleets (organisation_id, id, name) VALUES ($1, $2, 'bench')`, [
      organisationId,
      fleetId,
    ]);
    await client.query(
      `INSERT INTO depots (organisation_id, id, fleet_id, name, zone) VALUES ($1, $2, $3, 'bench', 'Europe/London')`,
      [organisationId, depotId, fleetId],
    );
    await client.query(
      `INSERT INTO vehicles (organisation_id, id, fleet_id, depot_id, registration_mark, duty_class, in_service_on, in_service_odometer_km, odometer_unit)
        SELECT $1, uuidv7(), $2, $3, 'B ' || n, 'standard', DATE '2021-01-01' + n % 365, 0, 'km' FROM generate_series(1, $4) n`,
      [organisationId, fleetId, depotId, vehicleCount],
    );
    // 20 to 120 km a day, each month a little off its mean, newest reading today
    await client.query(
      `INSERT INTO odometer_readings (organisation_id, vehicle_id, fleet_id, meter, value, unit, read_at, source, state)
        SELECT v.organisation_id, v.id, v.fleet_id, 'odometer',
            30000 + (36 - m) * (600 + abs(hashtext(v.registration_mark)) % 3000) + abs(hashtext(v.registration_mark || m)) % 100,
            'km', now() - m * interval '30 days', 'workshop', 'accepted'
          FROM vehicles v, generate_series(0, 35) m WHERE v.organisation_id = $1`,
      [organisationId],
    );
    await client.query(
      `INSERT INTO task_completions (organisation_id, vehicle_id, fleet_id, task, done_on)
        SELECT v.organisation_id, v.id, v.fleet_id, t, current_date - (abs(hashtext(v.registration_mark || t)) % 300 + 300 * k)
          FROM vehicles v, unnest($2::text[]) t, generate_series(0, 1) k WHERE v.organisation_id = $1`,
      [organisationId, TASKS],
    );
    await client.query('ANALYZE');
    const { rows } = await client.query<{ id: string }>(
      `SELECT id FROM vehicles WHERE organisation_id = $1 ORDER BY id`,
      [organisationId],
    );
    const [first = '', second = ''] = versionIds;
    return {
      ...organisation,
      programmeId: programmeId ?? '',
      versionIds: [first, second],
      vehicleIds: rows.map(({ id }) => id),
    };
  } finally {
    await client.end();
  }
}
