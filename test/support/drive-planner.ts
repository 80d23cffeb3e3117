import type { Drive } from '../../src/modules/downtime-plans/make-plan';

/** Uses up the whole budget of a planner. */
export const toTheEnd: Drive = (planner) => {
  while (planner.advance());
  return Promise.resolve(false);
};
