import type { TwoApiProcesses } from './two-api-processes';

/** Puts rules into force for all vehicles of the organisation, those aside whose fleet has a programme of its own. */
export async function publishProgramme(two: TwoApiProcesses, rules: readonly object[]): Promise<void> {
  const { id } = await two.made<{ id: string }>('/v1/service-programmes', { name: 'Own schedule', rules });
  const versions = `/v1/service-programmes/${id}/versions`;
  const { body } = await two.send<{ items: { id: string }[] }>(0, 'GET', versions);
  const published = await two.send(
    0,
    'POST',
    `${versions}/${body.items[0]?.id ?? ''}/publish`,
    { effectiveOn: new Date().toISOString().slice(0, 10) },
    { 'if-match': '"r1"' },
  );
  if (published.status !== 200) throw new Error(`publishing answered ${published.status}`);
  await two.sql(`UPDATE organisations SET default_service_programme_id = $1`, [id]);
}
