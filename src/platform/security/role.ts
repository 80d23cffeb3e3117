export const roles = ['fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator'] as const;

export type Role = (typeof roles)[number];

export const everybody: readonly Role[] = roles;
/** people who decide what is due and when: programmes, overrides, plans */
export const planners: readonly Role[] = ['fleet-planner', 'administrator'];
/** whoever brings in records of vehicles */
export const recorders: readonly Role[] = ['fleet-planner', 'front-desk', 'dealer-system', 'administrator'];
/** the operator's own people, who judge what others brought in */
export const deciders: readonly Role[] = ['fleet-planner', 'front-desk', 'administrator'];
/** whoever works in the operator's own workshop, or answers for it */
export const workshopPeople: readonly Role[] = ['fleet-planner', 'front-desk', 'technician', 'administrator'];
/** whoever sees a vehicle with their own eyes */
export const workshopAndRecorders: readonly Role[] = roles;
export const administrators: readonly Role[] = ['administrator'];
/** whoever connects other systems */
export const integrators: readonly Role[] = ['dealer-system', 'administrator'];
