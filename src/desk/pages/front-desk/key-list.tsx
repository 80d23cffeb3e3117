import { Button } from '../../design/button';
import { Dialog } from '../../design/dialog';
import { CheckField } from '../../design/field';
import styles from './front-desk.module.css';
import { SHORTCUTS } from './shortcuts';
import { switchShortcuts, useShortcutsOn } from './use-shortcut';

/** Which key does what, and a way to have none of it. */
export function KeyList({ onClose }: { onClose: () => void }) {
  const on = useShortcutsOn();
  return (
    <Dialog title="Keys of the front desk" onClose={onClose}>
      <dl className={styles.keys}>
        {SHORTCUTS.map(([key, does]) => (
          <div key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
      <p className="soft">While you type in a field, they are letters like any others.</p>
      <CheckField
        label="Single keys do something"
        hint="Switch them off where a voice or a scanner types for you. Kept on this computer."
        checked={on}
        onChange={({ target }) => switchShortcuts(target.checked)}
      />
      <div className="row">
        <Button kind="main" onClick={onClose}>
          Close
        </Button>
      </div>
    </Dialog>
  );
}
