import { useMutation } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { ProblemNotice } from '../../../design/notice';

interface ConfirmDialogProps<Answer> {
  title: string;
  /** what the button says: what is done, never only "yes" */
  action: string;
  /** what will happen */
  children: ReactNode;
  kind?: 'main' | 'danger';
  onConfirm: () => Promise<Answer>;
  onDone: (answer: Answer) => void;
  onClose: () => void;
}

/** Asks before something that cannot be taken back, in words that say what happens. */
export function ConfirmDialog<Answer>({
  title,
  action,
  children,
  kind = 'danger',
  onConfirm,
  onDone,
  onClose,
}: ConfirmDialogProps<Answer>) {
  const confirm = useMutation({ mutationFn: onConfirm, onSuccess: onDone });
  return (
    <Dialog title={title} onClose={onClose}>
      <div className="stack">{children}</div>
      <ProblemNotice error={confirm.error} />
      <div className="row">
        <Button kind={kind} busy={confirm.isPending} onClick={() => confirm.mutate()}>
          {action}
        </Button>
        <Button onClick={onClose}>Leave it</Button>
      </div>
    </Dialog>
  );
}
