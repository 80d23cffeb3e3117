import { lazy, type ComponentType } from 'react';

interface AdministrationSection {
  name: string;
  home: string;
  /** what is decided there */
  lead: string;
  section: ComponentType;
}

export const administrationHome = '/administration';

const section = (
  path: string,
  name: string,
  lead: string,
  load: () => Promise<{ default: ComponentType }>,
): AdministrationSection => ({ name, lead, home: `${administrationHome}/${path}`, section: lazy(load) });

export const administrationSections: readonly [AdministrationSection, ...AdministrationSection[]] = [
  section(
    'operator',
    'Operator',
    'The operator, its fleets, and the depots where vehicles stand.',
    () => import('./operator/operator-section'),
  ),
  section(
    'workshops',
    'Workshops',
    'When a workshop works, in which bays, and who works there.',
    () => import('./workshops/workshops-section'),
  ),
  section(
    'people',
    'People',
    'Who signs in, and what they may see and do.',
    () => import('./people/people-section'),
  ),
  section(
    'programmes',
    'Service programmes',
    'What is to be done on which vehicles, and when.',
    () => import('./programmes/programmes-section'),
  ),
  section(
    'gas-units',
    'Gas units',
    'Types of gas units, gauges they are tested with, and positions they sit in.',
    () => import('./gas/gas-section'),
  ),
  section('keys', 'Keys and clients', 'How other systems sign in.', () => import('./access/access-section')),
  section(
    'calendars',
    'Calendar feeds',
    'Diaries and off-road days as other calendars read them.',
    () => import('./calendars/calendars-section'),
  ),
  section(
    'webhooks',
    'Webhooks',
    'Addresses that are told of every change.',
    () => import('./webhooks/webhooks-section'),
  ),
  section(
    'imports',
    'Import',
    'Records of another system, handed over as a file.',
    () => import('./imports/imports-section'),
  ),
  section(
    'audit',
    'Audit',
    'Who changed what, when, and what it was before.',
    () => import('./audit/audit-section'),
  ),
];
