import { useMutation } from '@tanstack/react-query';
import { useForm } from 'react-hook-form';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { TextField } from '../../../design/field';
import { ProblemNotice } from '../../../design/notice';
import { useVehicleChanged } from '../vehicle-queries';

export function PlaceHold({ vehicleId }: { vehicleId: string }) {
  const changed = useVehicleChanged(vehicleId);
  const { register, handleSubmit, reset } = useForm({ defaultValues: { reason: '' } });
  const place = useMutation({
    mutationFn: (body: { reason: string }) =>
      answered(api.POST('/v1/vehicles/{vehicleId}/holds', { params: { path: { vehicleId } }, body })),
    onSuccess: async () => {
      reset();
      await changed();
    },
  });
  return (
    <form
      className="stack sheet screen-only"
      onSubmit={(event) => void handleSubmit((form) => place.mutate(form))(event)}
    >
      <h3>Place a hold</h3>
      <TextField
        label="Why it is not to be released"
        hint="It stays off the road until somebody lifts the hold."
        required
        maxLength={500}
        {...register('reason')}
      />
      <ProblemNotice error={place.error} />
      <div className="row">
        <Button kind="danger" type="submit" busy={place.isPending}>
          Hold the vehicle
        </Button>
      </div>
    </form>
  );
}
