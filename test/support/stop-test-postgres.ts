import { rmSync } from 'node:fs';

export default async function stopTestPostgres(): Promise<void> {
  const running = globalThis.prechargeTestPostgres;
  if (!running) return;
  await running.server.stop();
  rmSync(running.folder, { recursive: true, force: true });
}
