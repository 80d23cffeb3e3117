import { QueryClient } from '@tanstack/react-query';
import { NotReached, ProblemError } from './problem';

const FRESH_MS = 10_000;
const ATTEMPTS = 3;

/** What pages have read. Refusals are final; what did not arrive is asked for again. */
export const queryClient = new QueryClient({
  defaultOptions: {
    queries: {
      staleTime: FRESH_MS,
      retry: (failures, error) =>
        failures < ATTEMPTS &&
        (error instanceof NotReached || (error instanceof ProblemError && error.status === 503)),
    },
    // requests that change something are repeated by `send`, once, with their key
    mutations: { retry: false },
  },
});
