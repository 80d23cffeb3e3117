import { Injectable } from '@nestjs/common';
import { bulkRejected, type BulkResult } from '../../platform/bulk/bulk-result';
import type { Keyed } from '../../platform/bulk/upsert-each';
import { Clock } from '../../platform/clock/clock';
import type { Tx } from '../../platform/database/transactions';
import type { FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import type { Booking } from './booking.entity';
import { BookingsRepository } from './bookings.repository';
import { BookingsService } from './bookings.service';
import { BookingLine } from './dto/booking-line.dto';
import type { CreateBookingDto } from './dto/write-booking.dto';
import { wantedStart } from './wanted-start';

/**
 * Takes bookings over from another diary: one after the other, each by the same guarded way as a call, so that a time
 * that is taken is refused and nobody is booked twice. A booking that is on file is never moved by a file: since it was
 * made, somebody may have been told, or may have moved it for a reason.
 */
@Injectable()
export class BookingImportsService {
  /** how a line of an imported file is checked */
  readonly lineClass = BookingLine;

  constructor(
    private readonly bookings: BookingsService,
    private readonly repository: BookingsRepository,
    private readonly clock: Clock,
  ) {}

  /** The vehicles are locked by the caller. */
  async writeBatch(
    tx: Tx,
    principal: Principal,
    rows: readonly Keyed<CreateBookingDto>[],
  ): Promise<BulkResult[]> {
    const stored = await this.repository.findByExternalKeys(
      tx,
      rows.map(({ externalKey }) => externalKey),
    );
    const byKey = new Map(stored.map((booking) => [booking.externalKey, booking.id]));
    const results: BulkResult[] = [];
    for (const row of rows) {
      const knownId = byKey.get(row.externalKey);
      if (knownId !== undefined) {
        const known = await this.bookings.require(tx, knownId);
        results.push(
          isSame(known, row)
            ? { outcome: 'unchanged', subjectId: known.id, errors: [] }
            : bulkRejected(bookedOtherwise(known)),
        );
        continue;
      }
      const { id } = await this.bookings.book(
        tx,
        principal,
        row,
        wantedStart(row.startsAt, this.clock.now()),
      );
      byKey.set(row.externalKey, id);
      results.push({ outcome: 'created', subjectId: id, errors: [] });
    }
    return results;
  }
}

function isSame({ vehicleId, workshopId, startsAt }: Booking, row: CreateBookingDto): boolean {
  return (
    vehicleId === row.vehicleId &&
    workshopId === row.workshopId &&
    startsAt.getTime() === Date.parse(row.startsAt)
  );
}

function bookedOtherwise({ id, startsAt }: Booking): FieldError {
  return {
    pointer: '#/externalKey',
    detail: `This key stands for a booking of another vehicle, workshop or time: it starts at ${startsAt.toISOString()}.`,
    remedy: `a file moves no booking: move it with PATCH /v1/bookings/${id}, or use another key`,
  };
}
