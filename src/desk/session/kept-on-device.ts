/** The part of the browser's storage that is needed. */
export interface DeviceStorage {
  readonly length: number;
  key(index: number): string | null;
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
  removeItem(key: string): void;
}

const PREFIX = 'precharge-kept:';

interface Kept {
  /** the service does not have it yet */
  unsent: boolean;
  value: unknown;
}

/**
 * What a person entered, kept on this device until the service has it. Each person has their own; whoever signs in next
 * sees nothing of it.
 */
export class KeptOnDevice {
  constructor(
    private readonly storage: DeviceStorage,
    private readonly personId: string,
  ) {}

  read(what: string): unknown {
    return this.find(this.keyOf(what))?.value ?? null;
  }

  keep(what: string, value: object, unsent: boolean): void {
    this.storage.setItem(this.keyOf(what), JSON.stringify({ unsent, value }));
  }

  forget(what: string): void {
    this.storage.removeItem(this.keyOf(what));
  }

  /** What the service does not have yet. */
  unsent(): string[] {
    const own = `${PREFIX}${this.personId}:`;
    return this.keys(own)
      .filter((key) => this.find(key)?.unsent === true)
      .map((key) => key.slice(own.length));
  }

  /** Takes everything of this person from the device. */
  forgetEverything(): void {
    for (const key of this.keys(`${PREFIX}${this.personId}:`)) this.storage.removeItem(key);
  }

  private keyOf(what: string): string {
    return `${PREFIX}${this.personId}:${what}`;
  }

  private keys(start: string): string[] {
    return Array.from({ length: this.storage.length }, (_, index) => this.storage.key(index) ?? '').filter(
      (key) => key.startsWith(start),
    );
  }

  private find(key: string): Kept | null {
    const text = this.storage.getItem(key);
    return text === null ? null : (JSON.parse(text) as Kept);
  }
}
