/** What a job's page shows beside the sheet. Kept with it, so that it is there without a connection as well. */
export interface JobPlace {
  registrationMark: string;
  fleetNumber: string | null;
  odometerUnit: 'km' | 'mi';
  workshopName: string;
  zone: string;
  bayName: string;
  note: string | null;
  startsAt: string;
  endsAt: string;
  /** booked for the job */
  technicianIds: string[];
  technicians: Technician[];
  /** what the workshop asks for of whoever signs off, whatever the job */
  signOffCompetence: string | null;
  gauges: Gauge[];
}

export interface Technician {
  id: string;
  name: string;
  retiredOn: string | null;
  competences: { code: string; lastOn: string | null }[];
}

export interface Gauge {
  id: string;
  code: string;
  name: string;
  calibrationDueOn: string | null;
}
