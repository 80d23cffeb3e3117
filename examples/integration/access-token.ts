/** An access token of an OAuth client (RFC 6749, section 4.4), asked for when it is needed and kept until shortly before its end. */
export class AccessToken {
  readonly #server: string;
  readonly #clientId: string;
  readonly #clientSecret: string;
  #current: { text: string; usableUntil: number } | null = null;

  constructor(server: string, clientId: string, clientSecret: string) {
    this.#server = server;
    this.#clientId = clientId;
    this.#clientSecret = clientSecret;
  }

  async text(): Promise<string> {
    if (this.#current === null || this.#current.usableUntil < Date.now()) this.#current = await this.#ask();
    return this.#current.text;
  }

  /** Forgets a token that was refused, unless there is another one already. */
  refused(text: string): void {
    if (this.#current?.text === text) this.#current = null;
  }

  async #ask(): Promise<{ text: string; usableUntil: number }> {
    // both parts are form-encoded before they are joined (RFC 6749, section 2.3.1)
    const credentials = [this.#clientId, this.#clientSecret].map(encodeURIComponent).join(':');
    const response = await fetch(`${this.#server}/v1/oauth/token`, {
      method: 'POST',
      headers: { authorization: `Basic ${Buffer.from(credentials).toString('base64')}` },
      body: new URLSearchParams({ grant_type: 'client_credentials' }),
    });
    if (!response.ok) throw new Error(`no token: ${response.status} ${await response.text()}`);
    const { access_token: text, expires_in: seconds } = (await response.json()) as {
      access_token: string;
      expires_in: number;
    };
    return { text, usableUntil: Date.now() + (seconds - 60) * 1_000 };
  }
}
