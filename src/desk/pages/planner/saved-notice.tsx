import { Notice } from '../../design/notice';

export function SavedNotice({ saved, what }: { saved: boolean; what: string }) {
  return saved ? (
    <Notice tone="good" title={`${what} is saved.`} live>
      <p>Plans that are made from now on keep to it.</p>
    </Notice>
  ) : null;
}
