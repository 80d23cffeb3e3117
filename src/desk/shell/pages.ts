import { lazy, type ComponentType } from 'react';
import type { Role } from '../session/session';

interface PageEntry {
  /** as the address shows it, with its parameters */
  path: string;
  page: ComponentType;
}

/** A part of the desk: what the navigation calls it, whom it is for, and its pages. */
interface Section {
  name: string;
  home: string;
  roles: readonly Role[];
  pages: readonly PageEntry[];
}

const everybody: readonly Role[] = [
  'fleet-planner',
  'front-desk',
  'technician',
  'dealer-system',
  'administrator',
];

// Each part is loaded when it is first opened: nobody waits for pages of another job.
export const sections: readonly Section[] = [
  {
    name: 'Front desk',
    home: '/front-desk',
    roles: ['front-desk', 'fleet-planner', 'administrator'],
    pages: [{ path: '/front-desk', page: lazy(() => import('../pages/front-desk/front-desk-page')) }],
  },
  {
    name: 'Diary',
    home: '/diary',
    roles: everybody,
    pages: [{ path: '/diary/:workshopId?', page: lazy(() => import('../pages/diary/diary-page')) }],
  },
  {
    name: 'Job sheets',
    home: '/job-sheets',
    roles: ['technician', 'front-desk', 'administrator'],
    pages: [
      { path: '/job-sheets', page: lazy(() => import('../pages/job-sheets/job-sheets-page')) },
      { path: '/job-sheets/:jobSheetId', page: lazy(() => import('../pages/job-sheets/job-sheet-page')) },
    ],
  },
  {
    name: 'Planner',
    home: '/planner',
    roles: ['fleet-planner', 'front-desk', 'administrator'],
    pages: [{ path: '/planner/*?', page: lazy(() => import('../pages/planner/planner-page')) }],
  },
  {
    name: 'Vehicles',
    home: '/vehicles',
    roles: everybody,
    pages: [
      { path: '/vehicles', page: lazy(() => import('../pages/vehicles/vehicles-page')) },
      { path: '/vehicles/:vehicleId/*?', page: lazy(() => import('../pages/vehicles/vehicle-page')) },
      { path: '/units/:gasUnitId', page: lazy(() => import('../pages/units/unit-page')) },
    ],
  },
  {
    name: 'Calculators',
    home: '/calculators',
    roles: everybody,
    pages: [
      {
        path: '/calculators/:calculator?',
        page: lazy(() => import('../pages/calculators/calculators-page')),
      },
    ],
  },
  {
    name: 'Administration',
    home: '/administration',
    roles: ['administrator'],
    pages: [
      { path: '/administration/*?', page: lazy(() => import('../pages/administration/administration-page')) },
    ],
  },
];

const HOME: Record<Role, string> = {
  'front-desk': '/front-desk',
  technician: '/job-sheets',
  'fleet-planner': '/planner',
  'dealer-system': '/vehicles',
  administrator: '/front-desk',
};

/** Where somebody with this role begins. */
export const homeOf = (role: Role): string => HOME[role];
