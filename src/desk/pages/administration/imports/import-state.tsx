import type { Schemas } from '../../../api/client';
import { StateMark, type Tone } from '../../../design/state-mark';

type Import = Schemas['ImportDto'];

const STATES: Record<Import['state'], { tone: Tone; text: string }> = {
  uploading: { tone: 'info', text: 'being taken in' },
  queued: { tone: 'info', text: 'waiting' },
  running: { tone: 'info', text: 'under way' },
  finished: { tone: 'good', text: 'finished' },
  failed: { tone: 'bad', text: 'failed' },
  cancelled: { tone: 'unknown', text: 'cancelled' },
};

export function ImportState({ of: { state, linesRejected } }: { of: Import }) {
  if (state === 'finished' && linesRejected > 0)
    return <StateMark tone="warn">finished, {linesRejected} rejected</StateMark>;
  return <StateMark tone={STATES[state].tone}>{STATES[state].text}</StateMark>;
}
