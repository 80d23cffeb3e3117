import { StateMark } from '../../../design/state-mark';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';

interface VersionStateProps {
  version: { id: string; state: 'draft' | 'published'; effectiveOn: string | null };
  /** the version that due items are computed from */
  currentId: string | null;
}

export function VersionState({ version, currentId }: VersionStateProps) {
  const { locale } = useReader();
  const { id, state, effectiveOn } = version;
  if (state === 'draft' || effectiveOn === null) return <StateMark tone="info">draft</StateMark>;
  if (id === currentId)
    return <StateMark tone="good">in force since {dayText(effectiveOn, locale)}</StateMark>;
  return <StateMark tone="unknown">published, effective {dayText(effectiveOn, locale)}</StateMark>;
}
