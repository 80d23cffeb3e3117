import type { Role } from '../../../session/session';
import type { Choice } from './form-fields';

/** What each role is called, and what it is for. */
export const roleNames: Record<Role, string> = {
  'front-desk': 'Front desk',
  technician: 'Technician',
  'fleet-planner': 'Fleet planner',
  'dealer-system': 'Dealer system',
  administrator: 'Administrator',
};

export const roleMeanings: Record<Role, string> = {
  'front-desk': 'Books vehicles into workshops, and receives and releases them.',
  technician: 'Works through job sheets and records what was found.',
  'fleet-planner': 'Plans down time and records what happens to vehicles.',
  'dealer-system': 'Another system, which hands over records and reads them.',
  administrator: 'Everything, this administration included.',
};

export const roleChoices: readonly Choice[] = Object.entries(roleNames).map(([value, name]) => ({
  value,
  name,
}));
