import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { shownJson, type Rule } from './rule-values';

/** A rule of a published version, whole. */
export function RuleShown({ rule, onClose }: { rule: Rule; onClose: () => void }) {
  return (
    <Dialog title={rule.title ?? rule.task} onClose={onClose}>
      <pre className="scroll small" tabIndex={0}>
        {shownJson(rule)}
      </pre>
      <div className="row">
        <Button onClick={onClose}>Close</Button>
      </div>
    </Dialog>
  );
}
