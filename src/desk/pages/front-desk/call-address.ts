import { useSearchParams } from 'wouter';

/** The call as the address tells it: which vehicle it is about, and what has been held for it. */
export interface CallAddress {
  vehicleId: string | null;
  bookingId: string | null;
  /** the caller is on about this vehicle */
  open: (vehicleId: string) => void;
  /** looks at one booking of the vehicle, or at none */
  show: (bookingId: string | null) => void;
  /** the call is over */
  next: () => void;
}

/** Back, forward and reload lead to where the call was: every step is an address of its own. */
export function useCallAddress(): CallAddress {
  const [parameters, setParameters] = useSearchParams();
  const vehicleId = parameters.get('vehicle');
  return {
    vehicleId,
    bookingId: parameters.get('booking'),
    open: (vehicle) => setParameters({ vehicle }),
    show: (booking) => {
      if (vehicleId !== null) setParameters({ vehicle: vehicleId, ...(booking === null ? {} : { booking }) });
    },
    next: () => setParameters({}),
  };
}
