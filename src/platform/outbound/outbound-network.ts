import { lookup, type LookupAddress } from 'node:dns';
import { connect, isIP, type Socket } from 'node:net';
import { isLoopback, whyNotPublic } from './public-address';
import type { OutboundRules } from './outbound-target';

/** What sending needs of the machine's network; tests put their own in its stead. */
export interface Network {
  /** every address of a name */
  resolve(host: string): Promise<LookupAddress[]>;
  /** opens a connection to one of the addresses, and to nothing else */
  dial(host: string, port: number, addresses: readonly LookupAddress[]): Socket;
}

/** An address that a message must not be sent to. */
export class RefusedAddress extends Error {}

export const machineNetwork: Network = {
  resolve: (host) =>
    new Promise((resolve, reject) => {
      lookup(host, { all: true }, (error, addresses) =>
        error === null ? resolve(addresses) : reject(error),
      );
    }),
  // the name is not looked up again: between judging and connecting there is nothing that could change its meaning
  dial: (host, port, addresses) =>
    connect({
      host,
      port,
      autoSelectFamily: true,
      lookup: (_host, options, answer) => {
        const [first] = addresses;
        if (options.all === true) answer(null, [...addresses]);
        else answer(null, first?.address ?? '', first?.family ?? 4);
      },
    }),
};

/**
 * The addresses behind a host, all of them judged. One that is not public spoils the others too: whoever answers with
 * both means no good.
 *
 * @throws RefusedAddress
 */
export async function judgedAddresses(
  network: Network,
  host: string,
  rules: OutboundRules,
): Promise<LookupAddress[]> {
  const family = isIP(host);
  const addresses = family === 0 ? await network.resolve(host) : [{ address: host, family }];
  for (const { address } of addresses) {
    if (rules.allowLoopback && isLoopback(address)) continue;
    const why = whyNotPublic(address);
    if (why !== null) throw new RefusedAddress(`${host} leads to ${address}, which ${why}`);
  }
  if (addresses.length === 0) throw new RefusedAddress(`${host} leads to no address`);
  return addresses;
}
