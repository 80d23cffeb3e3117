import ipaddr from 'ipaddr.js';

/**
 * What counts as one caller by address: an IPv4 address, and the network of 64 bits that an IPv6 address is
 * in, because whoever has one of its addresses has all of them (RFC 6177, section 2; RFC 7421).
 */
export function networkOf(address: string): string {
  if (!ipaddr.isValid(address)) return address;
  const parsed = ipaddr.process(address);
  if (parsed instanceof ipaddr.IPv4) return parsed.toString();
  return `${new ipaddr.IPv6([...parsed.parts.slice(0, 4), 0, 0, 0, 0]).toString()}/64`;
}
