import { MultiBar } from 'cli-progress';
import type { DepotDto } from '../../modules/depots/dto/depot.dto';
import type { FleetDto } from '../../modules/fleets/dto/fleet.dto';
import type { ImportDto, ImportLineDto } from '../../modules/imports/dto/import.dto';
import type { ApiClient } from '../api-client';
import { importFile } from '../import-file';
import { textTable } from '../text-table';
import type { GasUnitFleet } from './tarn-valley/gas-unit-fleet';
import type { TarnValleyFleet } from './tarn-valley/tarn-valley-fleet';
import { vehicleOfKey } from './vehicle-of-key';

const KIND_OF_FILE: Record<string, string> = {
  'vehicles.csv': 'vehicles',
  'duty-changes.csv': 'duty-changes',
  'hydraulic-layouts.csv': 'hydraulic-layouts',
  'odometer-replacements.csv': 'odometer-replacements',
  'odometer-readings.csv': 'odometer-readings',
  'service-history.csv': 'service-history',
  'gas-units.csv': 'gas-units',
  'unit-placements.csv': 'unit-placements',
  'unit-tests.csv': 'unit-tests',
};

interface Programme {
  id: string;
  draftVersionId: string;
  draftRevision: number;
}

/** Fleet, depots, programme, unit types and gauges by hand, everything else from the operator's files. */
export async function loadTarnValley(api: ApiClient, tarnValley: TarnValleyFleet): Promise<void> {
  const fleet = await api.send<FleetDto>('POST', '/v1/fleets', tarnValley.fleet);
  for (const depot of tarnValley.depots) {
    await api.send<DepotDto>('POST', '/v1/depots', { ...depot, fleetId: fleet.id });
  }
  await publishStarterProgramme(api, tarnValley.todayOn);
  const { gasUnits } = tarnValley;
  for (const type of gasUnits.types) await api.send('POST', '/v1/gas-unit-types', type);
  for (const gauge of gasUnits.gauges) await api.send('POST', '/v1/gauges', gauge);

  const bars = new MultiBar({
    format: '{file} {bar} {percentage} %  {rejected} rejected',
    barsize: 30,
    noTTYOutput: true,
    notTTYSchedule: 60_000,
    forceRedraw: true,
  });
  const imports: ImportDto[] = [];
  for (const { name, text } of [...tarnValley.files, ...gasUnits.files]) {
    const bar = bars.create(Buffer.byteLength(text), 0, { file: name.padEnd(25), rejected: 0 });
    const kind = KIND_OF_FILE[name];
    if (kind === undefined) throw new Error(`the demo does not know what ${name} is`);
    const done = await importFile(api, { kind, fileName: name, content: { text }, dryRun: false }, (record) =>
      bar.update(record.bytesRead, { rejected: record.linesRejected }),
    );
    if (done.failure !== null) throw new Error(`${name}: ${done.failure}`);
    imports.push(done);
  }
  bars.stop();

  console.log('\nWhat the files held:');
  console.log(
    textTable(
      ['file', 'new', 'changed', 'known', 'rejected'],
      imports.map((record) => [
        record.fileName ?? '',
        ...[record.linesCreated, record.linesUpdated, record.linesUnchanged, record.linesRejected].map(
          String,
        ),
      ]),
    ),
  );
  await showRejects(api, imports);
  await recordWarningTest(api, gasUnits);
  await api.send('POST', '/v1/usage-models/refit', { fleetId: fleet.id });
  await api.send('POST', '/v1/precharge-models/refit', {});
}

async function publishStarterProgramme(api: ApiClient, effectiveOn: string): Promise<void> {
  const programme = await api.send<Programme>('POST', '/v1/service-programmes', {
    name: 'Starter programme',
    fromStarter: true,
  });
  const { items } = await api.get<{ items: { id: string; revision: number }[] }>(
    `/v1/service-programmes/${programme.id}/versions`,
  );
  const [draft] = items;
  if (draft === undefined) throw new Error('a new programme has no version');
  const path = `/v1/service-programmes/${programme.id}/versions/${draft.id}/publish`;
  await api.send('POST', path, { effectiveOn }, `"r${draft.revision}"`);
  const standing = await api.get<{ revision: number }>('/v1/service-programmes/default');
  await api.send(
    'PUT',
    '/v1/service-programmes/default',
    { serviceProgrammeId: programme.id },
    `"r${standing.revision}"`,
  );
}

async function showRejects(api: ApiClient, imports: readonly ImportDto[]): Promise<void> {
  console.log('\nLines that could not be used, and why:');
  for (const record of imports.filter(({ linesRejected }) => linesRejected > 0)) {
    const lines = await api.getAll<ImportLineDto>(`/v1/imports/${record.id}/lines?outcome=rejected`);
    for (const { lineNumber, errors } of lines) {
      const reasons = errors.map(({ detail, remedy }) => `${detail} (${remedy})`).join('; ');
      console.log(`  ${record.fileName ?? ''} line ${lineNumber}: ${reasons}`);
    }
  }
}

// a test of the whole vehicle, which the workshop records as it is done
async function recordWarningTest(api: ApiClient, { systemTests }: GasUnitFleet): Promise<void> {
  const { vehicleKey, ...test } = systemTests.failedWarningTest;
  const vehicle = await vehicleOfKey(api, vehicleKey);
  const path = `/v1/vehicles/${vehicle.id}/system-tests`;
  await api.send('POST', path, { task: 'low-pressure-warning-test', ...test });
}
