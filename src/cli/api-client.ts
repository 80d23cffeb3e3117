import { createReadStream, statSync } from 'node:fs';
import { Readable } from 'node:stream';

/** A refusal as the API words it. */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    readonly problem: {
      title?: string;
      detail?: string;
      remedy?: string;
      errors?: { pointer?: string; detail: string }[];
    },
  ) {
    const fields = (problem.errors ?? [])
      .map(({ pointer, detail }) => `\n  ${pointer ?? ''} ${detail}`)
      .join('');
    super(`${status} ${problem.title ?? ''}: ${problem.detail ?? ''} ${problem.remedy ?? ''}${fields}`);
  }
}

/** What the command line uses of the API: the same operations that everybody else has. */
export class ApiClient {
  constructor(
    private readonly address: string,
    private readonly key: string,
  ) {}

  async get<T>(path: string): Promise<T> {
    return (await this.call('GET', path, {})).json() as Promise<T>;
  }

  async getText(path: string): Promise<string> {
    return (await this.call('GET', path, {})).text();
  }

  /** Every record of a list, page after page. */
  async getAll<T>(path: string): Promise<T[]> {
    const items: T[] = [];
    for (let next: string | null = null; ;) {
      const separator = path.includes('?') ? '&' : '?';
      const page: { items: T[]; next: string | null } = await this.get(
        next === null ? path : `${path}${separator}cursor=${encodeURIComponent(next)}`,
      );
      items.push(...page.items);
      if (page.next === null) return items;
      next = page.next;
    }
  }

  async send<T>(method: 'POST' | 'PUT' | 'PATCH', path: string, body: unknown, ifMatch?: string): Promise<T> {
    const headers = {
      'content-type': 'application/json',
      ...(ifMatch === undefined ? {} : { 'if-match': ifMatch }),
    };
    return (await this.call(method, path, { body: JSON.stringify(body), headers })).json() as Promise<T>;
  }

  async upload<T>(
    path: string,
    content: { file: string } | { text: string },
    contentType: string,
  ): Promise<T> {
    const body =
      'text' in content ? content.text : (Readable.toWeb(createReadStream(content.file)) as ReadableStream);
    const headers: Record<string, string> = { 'content-type': contentType };
    if ('file' in content) headers['content-length'] = String(statSync(content.file).size);
    return (await this.call('POST', path, { body, headers, duplex: 'half' })).json() as Promise<T>;
  }

  private async call(
    method: string,
    path: string,
    init: RequestInit & { duplex?: 'half' },
  ): Promise<Response> {
    const response = await fetch(new URL(path, this.address), {
      ...init,
      method,
      headers: {
        ...(init.headers as Record<string, string> | undefined),
        authorization: `Bearer ${this.key}`,
      },
    });
    if (response.ok) return response;
    const text = await response.text();
    const isProblem = response.headers.get('content-type')?.startsWith('application/problem+json') === true;
    throw new ApiError(
      response.status,
      isProblem ? (JSON.parse(text) as object) : { detail: text.slice(0, 500) },
    );
  }
}
