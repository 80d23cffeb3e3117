import { Notice } from '../../../design/notice';

/** What can hurt somebody who works on the system, and who decides. */
export function Cautions({ cautions }: { cautions: readonly { code: string; text: string }[] }) {
  return (
    <Notice tone="warn" title="Before anybody works on it">
      <ul>
        {cautions.map(({ code, text }) => (
          <li key={code}>{text}</li>
        ))}
      </ul>
    </Notice>
  );
}
