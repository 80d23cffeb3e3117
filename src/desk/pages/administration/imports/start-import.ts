import { answered, api, type Schemas } from '../../../api/client';
import { TypedFault } from '../parts/faults';
import { formatOf, mediaTypeOf } from './import-files';

type Import = Schemas['ImportDto'];

/** Hands a file over. @throws TypedFault where it is no file that can be */
export async function startImport(kind: Import['kind'], file: File | null, dryRun: boolean): Promise<Import> {
  if (file === null) throw new TypedFault('file', 'Choose a file, or drop one here.');
  const format = formatOf(file.name);
  if (format === null)
    throw new TypedFault(
      'file',
      `“${file.name}” ends neither in .csv nor in .ndjson. Save it as one of them.`,
    );
  return answered(
    api.POST('/v1/imports', {
      params: { query: { kind, dryRun, fileName: file.name } },
      // the contract's types know files as texts
      body: file as unknown as string,
      bodySerializer: (body: string) => body,
      headers: { 'Content-Type': mediaTypeOf(format) },
    }),
  );
}
