import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { useForm } from 'react-hook-form';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { TextField } from '../../../design/field';
import { ProblemNotice } from '../../../design/notice';
import { useVehicleChanged } from '../vehicle-queries';

interface LiftHoldProps {
  vehicleId: string;
  hold: Schemas['ManualHoldDto'];
}

export function LiftHold({ vehicleId, hold }: LiftHoldProps) {
  const [open, setOpen] = useState(false);
  return (
    <div className="row screen-only">
      <Button onClick={() => setOpen(true)}>Lift the hold</Button>
      {open ? <LiftDialog vehicleId={vehicleId} hold={hold} onClose={() => setOpen(false)} /> : null}
    </div>
  );
}

function LiftDialog({ vehicleId, hold, onClose }: LiftHoldProps & { onClose: () => void }) {
  const changed = useVehicleChanged(vehicleId);
  const { register, handleSubmit } = useForm({ defaultValues: { reason: '' } });
  const lift = useMutation({
    mutationFn: (body: { reason: string }) =>
      answered(
        api.POST('/v1/holds/{holdId}/lift', {
          params: { path: { holdId: hold.id }, header: ifMatch(hold) },
          body,
        }),
      ),
    onSuccess: async () => {
      onClose();
      await changed();
    },
  });
  return (
    <Dialog title="Lift the hold" onClose={onClose}>
      <p>{hold.reason}</p>
      <form className="stack" onSubmit={(event) => void handleSubmit((form) => lift.mutate(form))(event)}>
        <TextField
          label="What was done, or why it is no longer needed"
          required
          maxLength={500}
          {...register('reason')}
        />
        <ProblemNotice error={lift.error} />
        <div className="row">
          <Button kind="main" type="submit" busy={lift.isPending}>
            Lift it
          </Button>
          <Button onClick={onClose}>Not now</Button>
        </div>
      </form>
    </Dialog>
  );
}
