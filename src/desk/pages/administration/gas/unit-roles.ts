import type { Schemas } from '../../../api/client';

export type UnitRole = Schemas['UnitPositionDto']['role'];

export const unitRoleNames: Record<UnitRole, string> = {
  suspension: 'Suspension',
  'main-accumulator': 'Main accumulator',
  'rear-brake-accumulator': 'Rear brake accumulator',
  other: 'Other',
};

export const unitRoleChoices = Object.entries(unitRoleNames).map(([value, name]) => ({ value, name }));
