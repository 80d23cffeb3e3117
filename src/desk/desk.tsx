import { QueryClientProvider } from '@tanstack/react-query';
import { Router } from 'wouter';
import { queryClient } from './api/queries';
import { SessionGate } from './session/session-gate';
import { Shell } from './shell/shell';

const BASE = import.meta.env.BASE_URL.replace(/\/$/, '');

export function Desk() {
  return (
    <QueryClientProvider client={queryClient}>
      <Router base={BASE}>
        <SessionGate>
          <Shell />
        </SessionGate>
      </Router>
    </QueryClientProvider>
  );
}
