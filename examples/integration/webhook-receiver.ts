import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { Webhook } from 'standardwebhooks';
import type { Schemas } from './api.ts';

type Change = Schemas['ChangeDto'];

/** Takes webhooks whose signature is right, each once, and refuses all others. */
export class WebhookReceiver {
  readonly #webhook: Webhook;
  readonly #server: Server;
  /** by webhook-id: what is told a second time changes nothing */
  readonly events = new Map<string, Change>();
  refused = 0;

  constructor(secret: string) {
    this.#webhook = new Webhook(secret);
    this.#server = createServer((request, response) => {
      this.#answer(request, response).catch(() => {
        // the message broke off; it will be sent again
        response.destroy();
      });
    });
  }

  async listen(port: number): Promise<void> {
    await new Promise<void>((resolve) => this.#server.listen(port, '127.0.0.1', resolve));
  }

  close(): void {
    this.#server.closeAllConnections();
    this.#server.close();
  }

  async #answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    let event: Change;
    try {
      // over the body as it arrived, before anything parses it
      event = this.#webhook.verify(
        Buffer.concat(chunks),
        request.headers as Record<string, string>,
      ) as Change;
    } catch {
      this.refused += 1;
      response.writeHead(401).end();
      return;
    }
    if (event.type === ('webhook.consent' as string)) {
      response.writeHead(200, { 'content-type': 'application/json' });
      response.end(JSON.stringify({ challenge: event.data.challenge }));
      return;
    }
    this.events.set(String(request.headers['webhook-id']), event);
    response.writeHead(204).end();
  }
}
