import { once } from 'node:events';
import { createServer, type IncomingHttpHeaders, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { Webhook } from 'standardwebhooks';

/** A message as it arrived. */
export interface ReceivedMessage {
  path: string;
  headers: IncomingHttpHeaders;
  body: string;
  id: string;
  event: { type: string; subject: string; vehicleid?: string; data: Record<string, unknown> };
  /** whether the receiver said that it has it */
  taken: boolean;
  /** whether it has been answered, or its sender has gone */
  over: boolean;
}

export interface ReceiverAnswer {
  status: number;
  headers?: Record<string, string>;
  body?: string;
}

/** What the receiver does with a message: answer it, never answer it, or hang up before or within the answer. */
export type ReceiverConduct = ReceiverAnswer | 'silence' | 'cut-before' | 'cut-within';

/** Agrees to everything, and has everything. */
export function consenting({ event }: Pick<ReceivedMessage, 'event'>): ReceiverAnswer {
  return event.type === 'webhook.consent'
    ? { status: 200, body: JSON.stringify({ challenge: event.data.challenge }) }
    : { status: 204 };
}

function behave(conduct: ReceiverConduct, message: ReceivedMessage, response: ServerResponse): void {
  if (conduct === 'silence') return;
  if (conduct === 'cut-before') {
    response.destroy();
  } else if (conduct === 'cut-within') {
    response.writeHead(200, { 'content-length': '100' }).write('half', () => response.destroy());
  } else {
    message.taken = conduct.status >= 200 && conduct.status < 300;
    response.writeHead(conduct.status, conduct.headers).end(conduct.body);
  }
}

/** Somebody else's system that is sent webhooks. */
export class WebhookReceiver {
  readonly messages: ReceivedMessage[] = [];
  /** may be exchanged at any time */
  conduct: (message: ReceivedMessage) => ReceiverConduct | Promise<ReceiverConduct> = consenting;

  private constructor(private readonly server: Server) {
    server.on('request', (request, response) => {
      const chunks: Buffer[] = [];
      request.on('data', (chunk: Buffer) => chunks.push(chunk));
      // a sender that was killed leaves half a message
      request.on('error', () => undefined);
      request.on('end', () => {
        const body = Buffer.concat(chunks).toString();
        const { url = '', headers } = request;
        const event = JSON.parse(body) as ReceivedMessage['event'];
        const id = String(headers['webhook-id']);
        const message = { path: url, headers, body, event, id, taken: false, over: false };
        response.once('close', () => (message.over = true));
        this.messages.push(message);
        void Promise.resolve(this.conduct(message)).then((conduct) => behave(conduct, message, response));
      });
    });
  }

  static async start(): Promise<WebhookReceiver> {
    const server = createServer().listen(0, '127.0.0.1');
    await once(server, 'listening');
    return new WebhookReceiver(server);
  }

  get url(): string {
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}/in`;
  }

  /** Messages about changes, in the order of arrival. */
  get events(): ReceivedMessage[] {
    return this.messages.filter(({ event }) => event.type !== 'webhook.consent');
  }

  /** Messages about changes that wait for their answer. */
  get inHand(): ReceivedMessage[] {
    return this.events.filter(({ over }) => !over);
  }

  stop(): void {
    this.server.closeAllConnections();
    this.server.close();
  }
}

/** How many of a message's signatures were made with a secret, at the moment that it names. */
export function signaturesBy(secret: string, { headers, id, body }: ReceivedMessage): number {
  const at = new Date(Number(headers['webhook-timestamp']) * 1_000);
  const right = new Webhook(secret).sign(id, at, body);
  return String(headers['webhook-signature'])
    .split(' ')
    .filter((signature) => signature === right).length;
}
