import { StateMark } from '../../../design/state-mark';
import { useMomentText } from '../parts/use-moment-text';

interface ValidityProps {
  revokedAt: string | null;
  /** from then on it is not accepted; null never */
  endsAt: string | null;
}

/** Whether a key, client or feed still opens anything. */
export function Validity({ revokedAt, endsAt }: ValidityProps) {
  const momentText = useMomentText();
  if (revokedAt !== null) return <StateMark tone="unknown">revoked {momentText(revokedAt)}</StateMark>;
  if (endsAt === null) return <StateMark tone="good">in force</StateMark>;
  return new Date(endsAt) <= new Date() ? (
    <StateMark tone="warn">ended {momentText(endsAt)}</StateMark>
  ) : (
    <StateMark tone="info">until {momentText(endsAt)}</StateMark>
  );
}
