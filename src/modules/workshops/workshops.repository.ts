import { Injectable } from '@nestjs/common';
import { In, IsNull, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Bay } from './bay.entity';
import { Technician } from './technician.entity';
import type { WholeWorkshop } from './whole-workshop';
import { Workshop } from './workshop.entity';

interface ListFilter {
  externalKey?: string | undefined;
  includeRetired?: boolean | undefined;
}

type Created<T> = Omit<T, 'id' | 'revision' | 'createdAt' | 'updatedAt' | 'retiredOn'>;

@Injectable()
export class WorkshopsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page; so with all lists. */
  list(tx: Tx, filter: ListFilter, afterId: string | null, limit: number): Promise<Workshop[]> {
    return tx.find(Workshop, {
      where: {
        ...(filter.externalKey === undefined ? {} : { externalKey: filter.externalKey }),
        ...(filter.includeRetired === true ? {} : { retiredOn: IsNull() }),
        ...(afterId === null ? {} : { id: MoreThan(afterId) }),
      },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  bays(
    tx: Tx,
    workshopId: string,
    filter: ListFilter,
    afterId: string | null,
    limit: number,
  ): Promise<Bay[]> {
    return tx.find(Bay, {
      where: {
        workshopId,
        ...(filter.includeRetired === true ? {} : { retiredOn: IsNull() }),
        ...(afterId === null ? {} : { id: MoreThan(afterId) }),
      },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  technicians(
    tx: Tx,
    workshopId: string,
    filter: ListFilter,
    afterId: string | null,
    limit: number,
  ): Promise<Technician[]> {
    return tx.find(Technician, {
      where: {
        workshopId,
        ...(filter.includeRetired === true ? {} : { retiredOn: IsNull() }),
        ...(afterId === null ? {} : { id: MoreThan(afterId) }),
      },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<Workshop | null> {
    return tx.findOneBy(Workshop, { id });
  }

  findBay(tx: Tx, id: string): Promise<Bay | null> {
    return tx.findOneBy(Bay, { id });
  }

  findTechnician(tx: Tx, id: string): Promise<Technician | null> {
    return tx.findOneBy(Technician, { id });
  }

  lock(tx: Tx, id: string): Promise<Workshop | null> {
    return tx.findOne(Workshop, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  lockByExternalKey(tx: Tx, externalKey: string): Promise<Workshop | null> {
    return tx.findOne(Workshop, { where: { externalKey }, lock: { mode: 'pessimistic_write' } });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Workshop[]> {
    return tx.findBy(Workshop, { externalKey: In([...externalKeys]) });
  }

  lockBay(tx: Tx, id: string): Promise<Bay | null> {
    return tx.findOne(Bay, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  lockTechnician(tx: Tx, id: string): Promise<Technician | null> {
    return tx.findOne(Technician, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  create(tx: Tx, values: Created<Workshop>): Promise<Workshop> {
    return tx.save(Workshop, tx.create(Workshop, { ...values, retiredOn: null }));
  }

  createBay(tx: Tx, values: Created<Bay>): Promise<Bay> {
    return tx.save(Bay, tx.create(Bay, { ...values, retiredOn: null }));
  }

  createTechnician(tx: Tx, values: Created<Technician>): Promise<Technician> {
    return tx.save(Technician, tx.create(Technician, { ...values, retiredOn: null }));
  }

  save(tx: Tx, workshop: Workshop): Promise<Workshop> {
    return tx.save(Workshop, workshop);
  }

  saveBay(tx: Tx, bay: Bay): Promise<Bay> {
    return tx.save(Bay, bay);
  }

  saveTechnician(tx: Tx, technician: Technician): Promise<Technician> {
    return tx.save(Technician, technician);
  }

  /** Workshops with all of their bays and people, those that are not used any more too; ordered by id. */
  async wholeWorkshops(tx: Tx, ids: readonly string[]): Promise<WholeWorkshop[]> {
    const [workshops, bays, technicians] = await Promise.all([
      tx.find(Workshop, { where: { id: In([...ids]) }, order: { id: 'ASC' } }),
      tx.find(Bay, { where: { workshopId: In([...ids]) }, order: { id: 'ASC' } }),
      tx.find(Technician, { where: { workshopId: In([...ids]) }, order: { id: 'ASC' } }),
    ]);
    return workshops.map((workshop) => ({
      workshop,
      bays: bays.filter(({ workshopId }) => workshopId === workshop.id),
      technicians: technicians.filter(({ workshopId }) => workshopId === workshop.id),
    }));
  }

  /**
   * Takes what a booking needs: the workshop so that it stays as it is, then bays, then people, each by their ids.
   * The three statements are sent together; the server works through them in this order.
   */
  async lockForBooking(
    tx: Tx,
    workshopId: string,
    bayIds: readonly string[],
    technicianIds: readonly string[],
  ): Promise<WholeWorkshop | null> {
    const [workshop, bays, technicians] = await Promise.all([
      tx.findOne(Workshop, { where: { id: workshopId }, lock: { mode: 'pessimistic_read' } }),
      tx.find(Bay, {
        where: { workshopId, id: In([...bayIds]) },
        order: { id: 'ASC' },
        lock: { mode: 'pessimistic_write' },
      }),
      tx.find(Technician, {
        where: { workshopId, id: In([...technicianIds]) },
        order: { id: 'ASC' },
        lock: { mode: 'pessimistic_write' },
      }),
    ]);
    return workshop === null ? null : { workshop, bays, technicians };
  }

  async idsInUse(tx: Tx): Promise<string[]> {
    const workshops = await tx.find(Workshop, {
      select: { id: true },
      where: { retiredOn: IsNull() },
      order: { id: 'ASC' },
    });
    return workshops.map(({ id }) => id);
  }

  async existingIds(tx: Tx, ids: readonly string[]): Promise<Set<string>> {
    const workshops = await tx.find(Workshop, { select: { id: true }, where: { id: In([...ids]) } });
    return new Set(workshops.map(({ id }) => id));
  }
}
