import { setTimeout as sleep } from 'node:timers/promises';
import type { ImportDto, ImportLineDto } from '../../src/modules/imports/dto/import.dto';
import { importFormats, type ImportFormatName } from '../../src/modules/imports/import-formats';
import type { ImportKindName } from '../../src/modules/imports/import-kind';

export type FileBody = string | Buffer | ReadableStream<Uint8Array>;

export interface ImportOptions {
  dryRun?: boolean;
  /** CSV unless said otherwise */
  format?: ImportFormatName;
  headers?: Record<string, string>;
}

const ENDED = ['finished', 'failed', 'cancelled'];

/** Hands files over to a listening API with one key. */
export class ImportClient {
  constructor(
    readonly address: string,
    private readonly key: string,
  ) {}

  request(method: string, path: string, init: RequestInit = {}): Promise<Response> {
    const headers = {
      authorization: `Bearer ${this.key}`,
      ...(init.headers as Record<string, string> | undefined),
    };
    return fetch(`${this.address}${path}`, { ...init, method, headers });
  }

  async json<T>(path: string): Promise<T> {
    const response = await this.request('GET', path);
    if (!response.ok) throw new Error(`${path} answered ${response.status}: ${await response.text()}`);
    return (await response.json()) as T;
  }

  upload(
    kind: string,
    body: FileBody,
    { dryRun = false, format = 'csv', headers = {} }: ImportOptions = {},
  ): Promise<Response> {
    return this.request('POST', `/v1/imports?kind=${kind}&dryRun=${dryRun}&fileName=${kind}.${format}`, {
      body,
      headers: { 'content-type': importFormats[format].contentType, ...headers },
      duplex: 'half',
    });
  }

  async start(kind: ImportKindName, body: FileBody, options?: ImportOptions): Promise<ImportDto> {
    const response = await this.upload(kind, body, options);
    if (response.status !== 202) throw new Error(`answered ${response.status}: ${await response.text()}`);
    return (await response.json()) as ImportDto;
  }

  /** Follows an import to its end; what was seen on the way is handed to `onProgress`. */
  async ended(
    id: string,
    onProgress: (seen: ImportDto) => unknown = () => undefined,
    withinMs = 300_000,
  ): Promise<ImportDto> {
    for (const deadline = Date.now() + withinMs; Date.now() < deadline;) {
      const seen = await this.json<ImportDto>(`/v1/imports/${id}`);
      onProgress(seen);
      if (ENDED.includes(seen.state)) return seen;
      await sleep(50);
    }
    throw new Error(`import ${id} did not come to an end`);
  }

  async run(kind: ImportKindName, body: FileBody, options?: ImportOptions): Promise<ImportDto> {
    return this.ended((await this.start(kind, body, options)).id);
  }

  /** What became of every line. */
  async lines(id: string): Promise<ImportLineDto[]> {
    const found: ImportLineDto[] = [];
    for (let next: string | null = ''; next !== null;) {
      const cursor: string = next === '' ? '' : `&cursor=${encodeURIComponent(next)}`;
      const page: { items: ImportLineDto[]; next: string | null } = await this.json(
        `/v1/imports/${id}/lines?limit=500${cursor}`,
      );
      found.push(...page.items);
      next = page.next;
    }
    return found;
  }

  async rejects(id: string): Promise<string> {
    return (await this.request('GET', `/v1/imports/${id}/rejects`)).text();
  }
}
