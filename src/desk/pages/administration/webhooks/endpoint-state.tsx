import type { Schemas } from '../../../api/client';
import { StateMark, type Tone } from '../../../design/state-mark';

export type Endpoint = Schemas['WebhookEndpointDto'];

const STATES: Record<Endpoint['state'], { tone: Tone; text: string }> = {
  active: { tone: 'good', text: 'active' },
  'awaiting-consent': { tone: 'info', text: 'waits for the receiver’s consent' },
  paused: { tone: 'unknown', text: 'paused' },
  disabled: { tone: 'bad', text: 'ended' },
};

const REASONS = {
  gone: 'the receiver said that it is gone',
  unreachable: 'it took nothing for five days',
};

export function EndpointState({ endpoint: { state, disabledReason, failingSince } }: { endpoint: Endpoint }) {
  const { tone, text } = STATES[state];
  if (state === 'active' && failingSince !== null) return <StateMark tone="warn">active, failing</StateMark>;
  return (
    <StateMark tone={tone}>
      {text}
      {disabledReason === null ? '' : `: ${REASONS[disabledReason]}`}
    </StateMark>
  );
}
