import type { Role } from '../session/session';

/** A part of the desk: what the navigation calls it, where it begins, and whom it is for. */
export interface Section {
  name: string;
  home: SectionHome;
  roles: readonly Role[];
}

export type SectionHome =
  '/front-desk' | '/diary' | '/job-sheets' | '/planner' | '/vehicles' | '/calculators' | '/administration';

const everybody: readonly Role[] = [
  'fleet-planner',
  'front-desk',
  'technician',
  'dealer-system',
  'administrator',
];

export const sections: readonly Section[] = [
  { name: 'Front desk', home: '/front-desk', roles: ['front-desk', 'fleet-planner', 'administrator'] },
  { name: 'Diary', home: '/diary', roles: everybody },
  { name: 'Job sheets', home: '/job-sheets', roles: ['technician', 'front-desk', 'administrator'] },
  { name: 'Planner', home: '/planner', roles: ['fleet-planner', 'front-desk', 'administrator'] },
  { name: 'Vehicles', home: '/vehicles', roles: everybody },
  { name: 'Calculators', home: '/calculators', roles: everybody },
  { name: 'Administration', home: '/administration', roles: ['administrator'] },
];

/** Whether that part is there for somebody with this role. */
export const isOpenTo = (home: SectionHome, role: Role): boolean =>
  sections.some((section) => section.home === home && section.roles.includes(role));

const HOME: Record<Role, SectionHome> = {
  'front-desk': '/front-desk',
  technician: '/job-sheets',
  'fleet-planner': '/planner',
  'dealer-system': '/vehicles',
  administrator: '/front-desk',
};

/** Where somebody with this role begins. */
export const homeOf = (role: Role): SectionHome => HOME[role];
