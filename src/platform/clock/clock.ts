import { Injectable } from '@nestjs/common';

/** The only place that asks the machine for the time; tests put their own in its stead. */
@Injectable()
export class Clock {
  /** milliseconds since 1970-01-01T00:00:00Z */
  now(): number {
    return Date.now();
  }
}
