import { useMutation } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import { useForm } from 'react-hook-form';
import { Button } from './button';
import { Dialog } from './dialog';
import { TextField } from './field';
import { ProblemNotice } from './notice';

interface TakeBackProps {
  /** such as `the precharge test of Tue 1 Dec 2026` */
  what: string;
  /** what follows from taking it back */
  children: ReactNode;
  /** whether somebody has to say why */
  asksWhy?: boolean;
  send: (reason: string) => Promise<unknown>;
  onDone: () => Promise<void>;
}

/** Takes a record back that was made by mistake, after asking. */
export function TakeBack({ what, ...rest }: TakeBackProps) {
  const [isOpen, setOpen] = useState(false);
  return (
    <span className="screen-only">
      <Button kind="quiet" onClick={() => setOpen(true)}>
        Take back<span className="unseen"> {what}</span>
      </Button>
      {isOpen ? <TakeBackDialog what={what} {...rest} onClose={() => setOpen(false)} /> : null}
    </span>
  );
}

function TakeBackDialog({
  what,
  children,
  asksWhy = true,
  send,
  onDone,
  onClose,
}: TakeBackProps & { onClose: () => void }) {
  const { register, handleSubmit } = useForm({ defaultValues: { reason: '' } });
  const take = useMutation({
    mutationFn: send,
    onSuccess: async () => {
      onClose();
      await onDone();
    },
  });
  return (
    <Dialog title={`Take back ${what}?`} onClose={onClose}>
      <p>{children}</p>
      <form
        className="stack"
        onSubmit={(event) => void handleSubmit(({ reason }) => take.mutate(reason))(event)}
      >
        {asksWhy ? (
          <TextField label="What was wrong" required maxLength={500} {...register('reason')} />
        ) : null}
        <ProblemNotice error={take.error} />
        <div className="row">
          <Button kind="danger" type="submit" busy={take.isPending}>
            Take it back
          </Button>
          <Button onClick={onClose}>Leave it</Button>
        </div>
      </form>
    </Dialog>
  );
}
