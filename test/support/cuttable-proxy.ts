import { once } from 'node:events';
import { connect, createServer, type AddressInfo, type Socket } from 'node:net';

/** A way to a server on this machine that can be cut, as a network or a stopped server would cut it. */
export class CuttableProxy {
  private readonly sockets = new Set<Socket>();
  private open = true;
  private readonly cutAfter = new Set<string>();

  private constructor(
    private readonly target: { host: string; port: number },
    private readonly server = createServer(),
  ) {
    server.on('connection', (client) => this.carry(client));
  }

  static async to(url: string): Promise<CuttableProxy> {
    const { hostname, port } = new URL(url);
    const proxy = new CuttableProxy({ host: hostname, port: Number(port) });
    proxy.server.listen(0, '127.0.0.1');
    await once(proxy.server, 'listening');
    return proxy;
  }

  /** The address of the same thing, by way of the proxy. */
  reach(url: string): string {
    const reached = new URL(url);
    reached.hostname = '127.0.0.1';
    reached.port = String((this.server.address() as AddressInfo).port);
    return reached.toString();
  }

  /** Breaks every connection and accepts no more. */
  cut(): void {
    this.open = false;
    for (const socket of this.sockets) socket.destroy();
  }

  restore(): void {
    this.open = true;
  }

  /** Breaks the next connection that sends a text, as soon as the server has answered to it; several texts wait for theirs. */
  cutWhenAnswered(text: string): void {
    this.cutAfter.add(text);
  }

  async close(): Promise<void> {
    this.cut();
    this.server.close();
    await once(this.server, 'close');
  }

  private carry(client: Socket): void {
    if (!this.open) {
      client.destroy();
      return;
    }
    const server = connect(this.target);
    let armed = false;
    for (const socket of [client, server]) {
      this.sockets.add(socket);
      socket.on('error', () => socket.destroy());
      socket.on('close', () => {
        this.sockets.delete(socket);
        client.destroy();
        server.destroy();
      });
    }
    client.on('data', (data) => {
      for (const text of this.cutAfter) {
        if (!data.includes(text)) continue;
        this.cutAfter.delete(text);
        armed = true;
      }
      server.write(data);
    });
    server.on('data', (data) => {
      if (armed) client.destroy();
      else client.write(data);
    });
  }
}
