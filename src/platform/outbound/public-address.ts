import { parse, type IPv4, type IPv6 } from 'ipaddr.js';

/** Kinds of addresses that are not hosts of the public internet, as `ipaddr.js` names them, in words. */
const KINDS: Readonly<Record<string, string>> = {
  unspecified: 'names no host',
  broadcast: 'is a broadcast address',
  multicast: 'is a multicast address',
  linkLocal: 'is link-local, where machines of a cloud find their credentials',
  loopback: 'is the machine itself',
  carrierGradeNat: 'belongs to a network behind carrier-grade NAT',
  private: 'is private',
  uniqueLocal: 'is private',
  ipv4Mapped: 'is an IPv4 address in the guise of IPv6',
  rfc6145: 'is an IPv4 address in the guise of IPv6',
  rfc6052: 'leads to an IPv4 address through NAT64',
  '6to4': 'leads to an IPv4 address through 6to4',
  teredo: 'leads to an IPv4 address through Teredo',
};

// Hosts that only machines of one hosting provider can reach although their address looks public: from memory,
// documented by that provider as the address of its platform services.
const INSIDE_A_CLOUD: ReadonlySet<string> = new Set(['168.63.129.16']);

/**
 * Why a resolved address is not one of the public internet, as the end of a sentence; null where it is one.
 * What is not known to be public is refused, kinds that nobody thought of included.
 *
 * @param address an IPv4 or IPv6 address in any notation that the resolver gives
 */
export function whyNotPublic(address: string): string | null {
  const parsed = parse(address);
  const kind: string = parsed.range();
  if (kind !== 'unicast') return KINDS[kind] ?? `is reserved (${kind})`;
  if (INSIDE_A_CLOUD.has(parsed.toString())) return 'is a service of a hosting provider for its own machines';
  return isGlobalUnicast(parsed) ? null : 'is outside of what is given to public hosts';
}

export function isLoopback(address: string): boolean {
  return parse(address).range() === 'loopback';
}

// IPv6 hosts are in 2000::/3 (RFC 4291 section 2.4, IANA's list of the IPv6 address space). Outside are such things
// as ::127.0.0.1, the IPv4-compatible form that the list of special ranges does not hold.
function isGlobalUnicast(address: IPv4 | IPv6): boolean {
  return address.kind() === 'ipv4' || ((address as IPv6).parts[0] ?? 0) >> 13 === 1;
}
