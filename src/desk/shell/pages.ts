import { lazy, type ComponentType } from 'react';
import type { SectionHome } from './sections';

interface PageEntry {
  /** as the address shows it, with its parameters */
  path: string;
  page: ComponentType;
}

// Each part is loaded when it is first opened: nobody waits for pages of another job.
export const pagesOf: Readonly<Record<SectionHome, readonly PageEntry[]>> = {
  '/front-desk': [{ path: '/front-desk', page: lazy(() => import('../pages/front-desk/front-desk-page')) }],
  '/diary': [{ path: '/diary/:workshopId?', page: lazy(() => import('../pages/diary/diary-page')) }],
  '/job-sheets': [
    { path: '/job-sheets', page: lazy(() => import('../pages/job-sheets/job-sheets-page')) },
    { path: '/job-sheets/:jobSheetId', page: lazy(() => import('../pages/job-sheets/job-sheet-page')) },
  ],
  '/planner': [{ path: '/planner/*?', page: lazy(() => import('../pages/planner/planner-page')) }],
  '/vehicles': [
    { path: '/vehicles', page: lazy(() => import('../pages/vehicles/vehicles-page')) },
    { path: '/vehicles/:vehicleId/*?', page: lazy(() => import('../pages/vehicles/vehicle-page')) },
    { path: '/units/:gasUnitId', page: lazy(() => import('../pages/units/unit-page')) },
  ],
  '/calculators': [
    {
      path: '/calculators/:calculator?',
      page: lazy(() => import('../pages/calculators/calculators-page')),
    },
  ],
  '/administration': [
    { path: '/administration/*?', page: lazy(() => import('../pages/administration/administration-page')) },
  ],
};
