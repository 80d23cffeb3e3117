import { CodedError, bodyError } from '../../platform/errors/coded-error';
import type { PlanState } from './downtime-plan.entity';

export function fleetExpected(): CodedError {
  return bodyError('#/fleetId', 'It is not said for which fleet to plan.', 'give fleetId, or basedOnId');
}

export function noSuchDepot(depotId: string, index: number): CodedError {
  return bodyError(
    `#/depotIds/${index}`,
    `${depotId} is not a depot of this fleet.`,
    'give depots of the fleet, or none for all of them',
  );
}

export function namedNotFound(pointer: string, what: string, id: string): CodedError {
  return bodyError(pointer, `There is no ${what} ${id}.`, `give the id of a ${what}`);
}

export function noSuchVisit(visitId: string, index: number): CodedError {
  return namedNotFound(`#/visitIds/${index}`, 'visit of this plan', visitId);
}

export function fleetWithoutDepots(fleetId: string): CodedError {
  return bodyError('#/fleetId', `There is no fleet ${fleetId} with a depot.`, 'give a fleet that has one');
}

export function otherFleet(): CodedError {
  return bodyError('#/fleetId', 'It is not the fleet of the plan that this is based on.', 'leave it out');
}

export function planBegan(fromOn: string, todayOn: string): CodedError {
  return bodyError(
    '#/fromOn',
    `${fromOn} has passed: today is ${todayOn} at the first depot.`,
    'give today or a later day',
  );
}

export function outsidePlan(pointer: string, on: string, fromOn: string, untilOn: string): CodedError {
  return bodyError(
    pointer,
    `${on} is not within the plan.`,
    `give a day from ${fromOn} and before ${untilOn}`,
  );
}

export function assumptionLacks(index: number, kind: string, field: string): CodedError {
  return bodyError(
    `#/assumptions/${index}/${field}`,
    `An assumption of the kind ${kind} needs it.`,
    `give ${field}`,
  );
}

export function planNot(state: PlanState, wanted: string): CodedError {
  return new CodedError('state-conflict', `The plan is ${state} and cannot be ${wanted}.`, [], { state });
}

export function restsOnAssumptions(): CodedError {
  return new CodedError(
    'state-conflict',
    'The plan assumes what is not so; record it first, then plan again without the assumption.',
  );
}

export function notReady(state: PlanState): CodedError {
  return new CodedError('state-conflict', `The plan is ${state}: there is nothing to show yet.`, [], {
    state,
  });
}

export function otherCurrency(): CodedError {
  return new CodedError('state-conflict', 'The two plans are weighed in different currencies.');
}
