import type { DisabledReason } from './endpoint-health';

export const endpointStates = ['awaiting-consent', 'active', 'paused', 'disabled'] as const;

export type EndpointState = (typeof endpointStates)[number];

/**
 * Where an endpoint stands. It is not recorded but follows: from what its people want, from whether its receiver has
 * agreed, and from whether deliveries had to be ended.
 */
export function endpointState(endpoint: {
  enabled: boolean;
  disabledReason: DisabledReason | null;
  consentedAt: Date | null;
}): EndpointState {
  if (!endpoint.enabled) return endpoint.disabledReason === null ? 'paused' : 'disabled';
  return endpoint.consentedAt === null ? 'awaiting-consent' : 'active';
}
