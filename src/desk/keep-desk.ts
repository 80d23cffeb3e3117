/** Lets the desk be opened without a connection: see `service-worker.ts`. Where the browser cannot, it needs one. */
export async function keepDesk(): Promise<void> {
  // the development server has pages of its own making
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return;
  const base = import.meta.env.BASE_URL;
  await navigator.serviceWorker.register(`${base}service-worker.js`, { scope: base });
  const { active } = await navigator.serviceWorker.ready;
  active?.postMessage(loadedAssets());
  // parts that are opened later pass through the worker anyway; these came before it took over
  navigator.serviceWorker.addEventListener('controllerchange', () =>
    navigator.serviceWorker.controller?.postMessage(loadedAssets()),
  );
}

function loadedAssets(): string[] {
  return performance
    .getEntriesByType('resource')
    .map(({ name }) => new URL(name, location.href))
    .filter(({ origin }) => origin === location.origin)
    .map(({ pathname }) => pathname);
}
