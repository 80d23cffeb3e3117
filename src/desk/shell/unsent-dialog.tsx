import { Button } from '../design/button';
import { Dialog } from '../design/dialog';

interface UnsentDialogProps {
  count: number;
  onStay: () => void;
  onLeave: () => void;
}

/** Asks before entries that nobody else has are lost. */
export function UnsentDialog({ count, onStay, onLeave }: UnsentDialogProps) {
  return (
    <Dialog title="Not everything has been sent" onClose={onStay}>
      <p>
        Entries of {count === 1 ? 'one job sheet are' : `${count} job sheets are`} on this device only.
        Signing out takes them from it, and they are lost.
      </p>
      <div className="row">
        <Button kind="main" onClick={onStay}>
          Stay signed in
        </Button>
        <Button kind="danger" onClick={onLeave}>
          Sign out and lose them
        </Button>
      </div>
    </Dialog>
  );
}
