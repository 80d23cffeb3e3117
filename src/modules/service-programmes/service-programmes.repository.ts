import { Injectable } from '@nestjs/common';
import { LessThan, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { ServiceProgrammeVersion } from './service-programme-version.entity';
import { ServiceProgramme } from './service-programme.entity';
import type { VersionHead } from './version-head';

/** A programme with the version that is due to be in force. */
export interface VersionInForce {
  programmeId: string;
  versionId: string;
  versionNumber: number;
  effectiveOn: string;
  currentVersionId: string | null;
}

export interface DefaultProgramme {
  serviceProgrammeId: string | null;
  revision: number;
}

const HEAD = `v.id, v.programme_id AS "programmeId", v.version_number AS "versionNumber", v.state,
  v.effective_on::text AS "effectiveOn"`;

@Injectable()
export class ServiceProgrammesRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, afterId: string | null, limit: number): Promise<ServiceProgramme[]> {
    return tx.find(ServiceProgramme, {
      where: afterId === null ? {} : { id: MoreThan(afterId) },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<ServiceProgramme | null> {
    return tx.findOneBy(ServiceProgramme, { id });
  }

  // not the stronger lock of a deletion: vehicles that point to the programme may be written meanwhile
  lock(tx: Tx, id: string): Promise<ServiceProgramme | null> {
    return tx.findOne(ServiceProgramme, { where: { id }, lock: { mode: 'for_no_key_update' } });
  }

  save(tx: Tx, programme: ServiceProgramme): Promise<ServiceProgramme> {
    return tx.save(ServiceProgramme, programme);
  }

  create(
    tx: Tx,
    values: Pick<ServiceProgramme, 'organisationId' | 'name' | 'origin' | 'originNote'>,
  ): Promise<ServiceProgramme> {
    return tx.save(ServiceProgramme, tx.create(ServiceProgramme, { ...values, currentVersionId: null }));
  }

  /** The version with the highest number, by programme. */
  async latestVersions(tx: Tx, programmeIds: readonly string[]): Promise<Map<string, VersionHead>> {
    const rows = await tx.query<(VersionHead & { programmeId: string })[]>(
      `SELECT DISTINCT ON (v.programme_id) ${HEAD} FROM service_programme_versions v
        WHERE v.programme_id = ANY ($1::uuid[]) ORDER BY v.programme_id, v.version_number DESC`,
      [programmeIds],
    );
    return new Map(rows.map((row) => [row.programmeId, row]));
  }

  async versionHeads(tx: Tx, versionIds: readonly string[]): Promise<Map<string, VersionHead>> {
    const rows = await tx.query<VersionHead[]>(
      `SELECT ${HEAD} FROM service_programme_versions v WHERE v.id = ANY ($1::uuid[])`,
      [versionIds],
    );
    return new Map(rows.map((row) => [row.id, row]));
  }

  /** Highest number first; one row more than `limit`. */
  listVersions(
    tx: Tx,
    programmeId: string,
    beforeNumber: number | null,
    limit: number,
  ): Promise<ServiceProgrammeVersion[]> {
    return tx.find(ServiceProgrammeVersion, {
      where: { programmeId, ...(beforeNumber === null ? {} : { versionNumber: LessThan(beforeNumber) }) },
      order: { versionNumber: 'DESC' },
      take: limit + 1,
    });
  }

  findVersion(tx: Tx, programmeId: string, id: string): Promise<ServiceProgrammeVersion | null> {
    return tx.findOneBy(ServiceProgrammeVersion, { programmeId, id });
  }

  lockVersion(tx: Tx, programmeId: string, id: string): Promise<ServiceProgrammeVersion | null> {
    return tx.findOne(ServiceProgrammeVersion, {
      where: { programmeId, id },
      lock: { mode: 'for_no_key_update' },
    });
  }

  /** Gives it the next number; the programme is locked. */
  async createDraft(
    tx: Tx,
    values: Pick<
      ServiceProgrammeVersion,
      'organisationId' | 'programmeId' | 'rules' | 'severityByDutyClass' | 'changeNote'
    >,
  ): Promise<ServiceProgrammeVersion> {
    const latest = (await this.latestVersions(tx, [values.programmeId])).get(values.programmeId);
    return tx.save(
      ServiceProgrammeVersion,
      tx.create(ServiceProgrammeVersion, {
        ...values,
        versionNumber: (latest?.versionNumber ?? 0) + 1,
        state: 'draft',
        effectiveOn: null,
        publishedAt: null,
        publishedBy: null,
      }),
    );
  }

  saveVersion(tx: Tx, version: ServiceProgrammeVersion): Promise<ServiceProgrammeVersion> {
    return tx.save(ServiceProgrammeVersion, version);
  }

  // The database's clock, read now: of two publications that wait for one another the second is the later.
  async publish(
    tx: Tx,
    { programmeId, id }: ServiceProgrammeVersion,
    effectiveOn: string,
    publishedBy: string,
  ): Promise<ServiceProgrammeVersion> {
    await tx.query(
      `UPDATE service_programme_versions SET state = 'published', effective_on = $2, published_by = $3,
          published_at = clock_timestamp(), updated_at = clock_timestamp(), revision = revision + 1
        WHERE id = $1`,
      [id, effectiveOn, publishedBy],
    );
    return tx.findOneByOrFail(ServiceProgrammeVersion, { programmeId, id });
  }

  async deleteDraft(tx: Tx, { organisationId, id }: ServiceProgrammeVersion): Promise<void> {
    await tx.delete(ServiceProgrammeVersion, { organisationId, id, state: 'draft' });
  }

  /** By programme, what has come into force by a day: the latest effective day, then the latest publication. */
  inForceOn(tx: Tx, todayOn: string, programmeIds: readonly string[] | null): Promise<VersionInForce[]> {
    return tx.query<VersionInForce[]>(
      `SELECT DISTINCT ON (v.programme_id) v.programme_id AS "programmeId", v.id AS "versionId",
          v.version_number AS "versionNumber", v.effective_on::text AS "effectiveOn",
          p.current_version_id AS "currentVersionId"
        FROM service_programme_versions v
          JOIN service_programmes p ON p.organisation_id = v.organisation_id AND p.id = v.programme_id
        WHERE v.state = 'published' AND v.effective_on <= $1::date
          AND ($2::uuid[] IS NULL OR v.programme_id = ANY ($2))
        ORDER BY v.programme_id, v.effective_on DESC, v.published_at DESC, v.version_number DESC`,
      [todayOn, programmeIds],
    );
  }

  /** Zones of all depots of the organisation that the caller may see. */
  async depotZones(tx: Tx): Promise<string[]> {
    const rows = await tx.query<{ zone: string }[]>(`SELECT DISTINCT zone FROM depots ORDER BY zone`);
    return rows.map(({ zone }) => zone);
  }

  /** True where the caller sees some fleets only. */
  async seesSomeFleetsOnly(tx: Tx): Promise<boolean> {
    const [row] = await tx.query<[{ limited: boolean }]>(`SELECT app.fleet_ids() IS NOT NULL AS limited`);
    return row.limited;
  }

  async defaultProgramme(tx: Tx, lock: boolean): Promise<DefaultProgramme> {
    const [row] = await tx.query<[DefaultProgramme]>(
      `SELECT default_service_programme_id AS "serviceProgrammeId", revision FROM organisations
        ${lock ? 'FOR NO KEY UPDATE' : ''}`,
    );
    return row;
  }

  async setDefaultProgramme(tx: Tx, { serviceProgrammeId, revision }: DefaultProgramme): Promise<void> {
    await tx.query(`UPDATE organisations SET default_service_programme_id = $1, revision = $2`, [
      serviceProgrammeId,
      revision,
    ]);
  }
}
