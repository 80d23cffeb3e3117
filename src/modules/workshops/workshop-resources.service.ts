import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound, type FieldError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { toBayDto, type BayDto, type CreateBayDto, type UpdateBayDto } from './dto/bay.dto';
import {
  toTechnicianDto,
  type CreateTechnicianDto,
  type TechnicianDto,
  type UpdateTechnicianDto,
} from './dto/technician.dto';
import type { ListOfWorkshopQueryDto } from './dto/workshop-params.dto';
import {
  absenceFaults,
  absencesOf,
  shiftExceptionFaults,
  shiftExceptionsOf,
  weeklyFaults,
  weeklyWindowsOf,
} from './stored-hours';
import type { StoredCompetence } from './technician.entity';
import { nameTaken, refusedHours } from './workshops.errors';
import { WorkshopsRepository } from './workshops.repository';
import { WorkshopsService } from './workshops.service';

/** Bays and people of a workshop. Whoever books locks their rows, so a change waits for a booking and is seen by the next. */
@Injectable()
export class WorkshopResourcesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly resources: WorkshopsRepository,
    private readonly workshops: WorkshopsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  listBays(
    { principal }: RequestContext,
    workshopId: string,
    { limit = 50, cursor, ...filter }: ListOfWorkshopQueryDto,
  ): Promise<Page<BayDto>> {
    const bound = { list: 'bays', organisationId: principal.organisationId, workshopId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.workshops.require(tx, workshopId);
      const seen = after === null ? null : String(after[0]);
      const rows = await this.resources.bays(tx, workshopId, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toBayDto);
    });
  }

  listTechnicians(
    { principal }: RequestContext,
    workshopId: string,
    { limit = 50, cursor, ...filter }: ListOfWorkshopQueryDto,
  ): Promise<Page<TechnicianDto>> {
    const bound = { list: 'technicians', organisationId: principal.organisationId, workshopId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.workshops.require(tx, workshopId);
      const seen = after === null ? null : String(after[0]);
      const rows = await this.resources.technicians(tx, workshopId, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toTechnicianDto);
    });
  }

  /** Whether there is such a technician, in a workshop that the caller sees. */
  async hasTechnician(tx: Tx, technicianId: string): Promise<boolean> {
    return (await this.resources.findTechnician(tx, technicianId)) !== null;
  }

  getBay({ principal }: RequestContext, bayId: string): Promise<BayDto> {
    return this.transactions.read(principal, async (tx) => {
      const bay = await this.resources.findBay(tx, bayId);
      if (bay === null) throw notFound('bay', bayId);
      return toBayDto(bay);
    });
  }

  getTechnician({ principal }: RequestContext, technicianId: string): Promise<TechnicianDto> {
    return this.transactions.read(principal, async (tx) => {
      const technician = await this.resources.findTechnician(tx, technicianId);
      if (technician === null) throw notFound('technician', technicianId);
      return toTechnicianDto(technician);
    });
  }

  createBay(context: RequestContext, workshopId: string, body: CreateBayDto): Promise<BayDto> {
    const { principal } = context;
    refuse(absenceFaults(body.closures ?? [], '#/closures'));
    return this.transactions.write(context, async (tx) => {
      const { organisationId } = await this.workshops.require(tx, workshopId);
      const bay = await onConstraint(
        () =>
          this.resources.createBay(tx, {
            organisationId,
            workshopId,
            name: body.name,
            kinds: body.kinds,
            closures: absencesOf(body.closures ?? []),
          }),
        { bays_name_key: () => nameTaken('bay', body.name) },
      );
      const after = toBayDto(bay);
      await this.audit.record(tx, principal, {
        action: 'created',
        subjectType: 'bay',
        subjectId: bay.id,
        workshopId,
        after,
      });
      return after;
    });
  }

  createTechnician(
    context: RequestContext,
    workshopId: string,
    body: CreateTechnicianDto,
  ): Promise<TechnicianDto> {
    const { principal } = context;
    refuse(technicianFaults(body));
    return this.transactions.write(context, async (tx) => {
      const { organisationId } = await this.workshops.require(tx, workshopId);
      const technician = await onConstraint(
        () =>
          this.resources.createTechnician(tx, {
            organisationId,
            workshopId,
            name: body.name,
            competences: competencesOf(body.competences),
            shifts: weeklyWindowsOf(body.shifts),
            shiftExceptions: shiftExceptionsOf(body.shiftExceptions ?? []),
            absences: absencesOf(body.absences ?? []),
          }),
        { technicians_name_key: () => nameTaken('technician', body.name) },
      );
      const after = toTechnicianDto(technician);
      await this.audit.record(tx, principal, {
        action: 'created',
        subjectType: 'technician',
        subjectId: technician.id,
        workshopId,
        after,
      });
      return after;
    });
  }

  updateBay(context: RequestContext, bayId: string, revision: number, body: UpdateBayDto): Promise<BayDto> {
    const { principal } = context;
    refuse(absenceFaults(body.closures ?? [], '#/closures'));
    return this.transactions.write(context, async (tx) => {
      const bay = await this.resources.lockBay(tx, bayId);
      if (bay === null) throw notFound('bay', bayId);
      expectRevision(bay, revision);
      const before = toBayDto(bay);
      if (body.name !== undefined) bay.name = body.name;
      if (body.kinds !== undefined) bay.kinds = body.kinds;
      if (body.closures !== undefined) bay.closures = absencesOf(body.closures);
      if (body.retiredOn !== undefined) bay.retiredOn = body.retiredOn;
      bay.revision += 1;
      const after = toBayDto(
        await onConstraint(() => this.resources.saveBay(tx, bay), {
          bays_name_key: () => nameTaken('bay', bay.name),
        }),
      );
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'bay',
        subjectId: bayId,
        workshopId: bay.workshopId,
        before,
        after,
      });
      return after;
    });
  }

  updateTechnician(
    context: RequestContext,
    technicianId: string,
    revision: number,
    body: UpdateTechnicianDto,
  ): Promise<TechnicianDto> {
    const { principal } = context;
    refuse(technicianFaults(body));
    return this.transactions.write(context, async (tx) => {
      const technician = await this.resources.lockTechnician(tx, technicianId);
      if (technician === null) throw notFound('technician', technicianId);
      expectRevision(technician, revision);
      const before = toTechnicianDto(technician);
      if (body.name !== undefined) technician.name = body.name;
      if (body.competences !== undefined) technician.competences = competencesOf(body.competences);
      if (body.shifts !== undefined) technician.shifts = weeklyWindowsOf(body.shifts);
      if (body.shiftExceptions !== undefined) {
        technician.shiftExceptions = shiftExceptionsOf(body.shiftExceptions);
      }
      if (body.absences !== undefined) technician.absences = absencesOf(body.absences);
      if (body.retiredOn !== undefined) technician.retiredOn = body.retiredOn;
      technician.revision += 1;
      const after = toTechnicianDto(
        await onConstraint(() => this.resources.saveTechnician(tx, technician), {
          technicians_name_key: () => nameTaken('technician', technician.name),
        }),
      );
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'technician',
        subjectId: technicianId,
        workshopId: technician.workshopId,
        before,
        after,
      });
      return after;
    });
  }
}

function technicianFaults({ shifts, shiftExceptions, absences }: UpdateTechnicianDto): FieldError[] {
  return [
    ...weeklyFaults(shifts ?? [], '#/shifts'),
    ...shiftExceptionFaults(shiftExceptions ?? [], '#/shiftExceptions'),
    ...absenceFaults(absences ?? [], '#/absences'),
  ];
}

function competencesOf(competences: CreateTechnicianDto['competences']): StoredCompetence[] {
  return competences.map(({ code, lastOn, evidence }) => ({
    code,
    lastOn: lastOn ?? null,
    evidence: evidence ?? null,
  }));
}

function refuse(faults: readonly FieldError[]): void {
  if (faults.length > 0) throw refusedHours(faults);
}
