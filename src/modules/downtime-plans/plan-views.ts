/** One day of a depot. The days of a depot follow each other without a gap. */
export interface AvailabilityDay {
  on: string;
  /** of the depot */
  vehicles: number;
  neededOnRoad: number;
  /** booked already */
  offRoadBefore: number;
  /** booked and planned */
  offRoadAfter: number;
}

export interface DepotAvailability {
  depotId: string;
  name: string;
  days: AvailabilityDay[];
}

/** One ISO week of a workshop, in minutes of its bays. The weeks follow each other without a gap. */
export interface WorkshopWeek {
  /** Monday */
  weekOn: string;
  /** open and not booked before the plan */
  freeMinutes: number;
  bookedMinutes: number;
  plannedMinutes: number;
}

export interface WorkshopLoad {
  workshopId: string;
  name: string;
  weeks: WorkshopWeek[];
}

/** A visit of a plan as it is handed out in files. */
export interface ListedVisit {
  id: string;
  /** registration mark */
  vehicle: string;
  fleetNumber: string | null;
  depot: string;
  workshop: string;
  /** IANA name; the days are those of this zone */
  zone: string;
  on: string;
  /** the last day, included */
  untilOn: string;
  minutes: number;
  costMinor: number;
  isLocked: boolean;
  bookingId: string | null;
  items: {
    task: string;
    title: string;
    position: string | null;
    dueOn: string;
    plannedOn: string;
    minutes: number;
  }[];
}
