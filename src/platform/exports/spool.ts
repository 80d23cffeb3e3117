import { createHash } from 'node:crypto';
import { mkdtemp, open, rm, type FileHandle } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable } from 'node:stream';

/** More was written than the file may hold. */
export class SpoolFull extends Error {}

/**
 * A file without a name: written once, then read once. Only this process can reach it, and nothing of it is left when
 * the process dies.
 */
export class Spool {
  private readonly digest = createHash('sha256');
  private written = 0;

  private constructor(
    private readonly file: FileHandle,
    private readonly limitBytes: number,
  ) {}

  static async open(limitBytes: number): Promise<Spool> {
    const folder = await mkdtemp(join(tmpdir(), 'precharge-export-'));
    try {
      return new Spool(await open(join(folder, 'spool'), 'wx+', 0o600), limitBytes);
    } finally {
      // the open file stays; it loses its name
      await rm(folder, { recursive: true });
    }
  }

  /** @throws SpoolFull */
  async write(text: string): Promise<void> {
    const bytes = Buffer.from(text);
    if (this.written + bytes.length > this.limitBytes) throw new SpoolFull();
    this.digest.update(bytes);
    this.written += bytes.length;
    await this.file.appendFile(bytes);
  }

  get bytes(): number {
    return this.written;
  }

  /** Of everything that was written; nothing more can be. */
  sha256(): string {
    return this.digest.digest('base64');
  }

  /**
   * Gives back what was written, in pieces; the file is gone when it has been read or given up.
   *
   * @param silenceMs a reader that takes nothing for so long has gone
   */
  read(silenceMs: number): Readable {
    const stream = this.file.createReadStream({ start: 0 });
    let taken = 0;
    const watch = setInterval(() => {
      if (stream.bytesRead === taken) stream.destroy(new Error('nobody reads the export any more'));
      taken = stream.bytesRead;
    }, silenceMs);
    // a process that ends does not wait for it
    watch.unref();
    stream.once('close', () => clearInterval(watch));
    return stream;
  }

  discard(): Promise<void> {
    return this.file.close();
  }
}
