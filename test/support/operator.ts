import type { RuleOptions } from '../../src/core/due/rule';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import type { Role } from '../../src/platform/security/role';
import { addKey, apiClient, asOwner, type ApiClient } from './api-client';
import type { TestApp } from './test-app';

/** An operator with an administrator's key, and what a test adds to it. */
export class Operator {
  private constructor(
    private readonly test: TestApp,
    readonly organisation: NewOrganisation,
    readonly admin: ApiClient,
  ) {}

  static async of(test: TestApp, name: string): Promise<Operator> {
    const organisation = await test.organisation(name);
    return new Operator(test, organisation, apiClient(test, organisation.administratorKey));
  }

  get organisationId(): string {
    return this.organisation.organisationId;
  }

  fleet(name: string): Promise<string> {
    return this.added('/v1/fleets', { name });
  }

  depot(fleetId: string, name: string, zone = 'Europe/London'): Promise<string> {
    return this.added('/v1/depots', { fleetId, name, zone });
  }

  vehicle(depotId: string, registrationMark: string, more: object = {}): Promise<string> {
    const body = { depotId, registrationMark, dutyClass: 'normal', odometerUnit: 'km', ...more };
    return this.added('/v1/vehicles', body);
  }

  /** Somebody else of the same operator. */
  async colleague(role: Role, fleetIds: string[] | null = null): Promise<ApiClient> {
    return apiClient(this.test, await addKey(this.test, this.organisation, role, fleetIds));
  }

  /** Puts rules into force for the whole operator; vehicles that are added afterwards follow them. */
  async follows(rules: RuleOptions[]): Promise<void> {
    const [programme] = await this.sql<{ id: string }>(
      `INSERT INTO service_programmes (organisation_id, name, origin, origin_note)
        VALUES ($1, 'rules of the test', 'own', 'made for the test') RETURNING id`,
      [this.organisationId],
    );
    await this.sql(
      `WITH version AS (
        INSERT INTO service_programme_versions (organisation_id, programme_id, version_number, state, effective_on,
            rules, severity_by_duty_class, published_at, published_by)
          VALUES ($1, $2, 1, 'published', '2020-01-01', $3, '{}', now(), 'the test') RETURNING id
      ), following AS (
        UPDATE organisations SET default_service_programme_id = $2 WHERE organisation_id = $1
      )
      UPDATE service_programmes SET current_version_id = (SELECT id FROM version) WHERE id = $2`,
      [this.organisationId, programme!.id, JSON.stringify(rules)],
    );
  }

  /** One statement as the owner of the schema, inside this organisation. */
  sql<Row>(sql: string, parameters: unknown[] = []): Promise<Row[]> {
    return asOwner<Row>(this.test, this.organisationId, sql, parameters);
  }

  private async added(url: string, body: object): Promise<string> {
    return (await this.admin.ok<{ id: string }>('post', url, { body })).id;
  }
}
