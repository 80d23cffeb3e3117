import { StateMark } from '../../../design/state-mark';
import { useMomentText } from '../parts/use-moment-text';
import type { Person } from './person';

/** Whether somebody can sign in. */
export function PersonState({ person: { state, invitationExpiresAt } }: { person: Person }) {
  const momentText = useMomentText();
  if (state === 'active') return <StateMark tone="good">active</StateMark>;
  if (state === 'disabled') return <StateMark tone="unknown">disabled</StateMark>;
  return invitationExpiresAt === null || new Date(invitationExpiresAt) < new Date() ? (
    <StateMark tone="warn">invited, but the invitation has ended</StateMark>
  ) : (
    <StateMark tone="info">invited, until {momentText(invitationExpiresAt)}</StateMark>
  );
}
