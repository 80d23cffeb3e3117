import { isIP } from 'node:net';
import { isLoopback, whyNotPublic } from './public-address';

/** Where messages may be sent to. */
export interface OutboundRules {
  /** ports of https addresses */
  ports: readonly number[];
  /** for development and tests only: the machine itself, by http too, at any port */
  allowLoopback: boolean;
}

/** What is wrong with an address, and what would be accepted. */
export interface TargetFault {
  detail: string;
  remedy: string;
}

/** An address taken apart. */
export interface Target {
  secure: boolean;
  /** name or address, without the brackets of IPv6 */
  host: string;
  port: number;
  /** path and query */
  path: string;
}

const LONGEST_URL = 2_000;

/**
 * Judges an address by what it says; where a name leads is judged when it is connected to. The parser of the platform
 * (WHATWG URL) has turned decimal, octal, hexadecimal and shortened IPv4 hosts into the usual notation by then.
 */
export function targetFault(text: string, rules: OutboundRules): TargetFault | null {
  if (!URL.canParse(text))
    return fault('is not a URL', 'give an address such as https://example.org/webhooks');
  if (text.length > LONGEST_URL) return fault('is too long', `give at most ${LONGEST_URL} characters`);
  const url = new URL(text);
  const target = targetOf(url.href);
  const onThisMachine = rules.allowLoopback && namesThisMachine(target.host);
  if (url.protocol !== 'https:' && !(url.protocol === 'http:' && onThisMachine)) {
    return fault(`uses ${url.protocol.slice(0, -1)}`, 'give an https address');
  }
  if (url.username !== '' || url.password !== '') {
    return fault('carries a user name or password', 'leave them out; messages are proved by their signature');
  }
  if (url.hash !== '') return fault('carries a fragment', 'leave out what follows #: it is never sent');
  if (onThisMachine) return null;
  if (!rules.ports.includes(target.port)) {
    return fault(`names port ${target.port}`, `give an address at port ${rules.ports.join(' or ')}`);
  }
  if (isIP(target.host) !== 0) {
    const why = whyNotPublic(target.host);
    return why === null ? null : fault(`names ${target.host}, which ${why}`, PUBLIC_HOST);
  }
  if (!target.host.includes('.') || /\.(localhost|local|internal)$/.test(target.host)) {
    return fault(`names ${target.host}, which is no host of the public internet`, PUBLIC_HOST);
  }
  return null;
}

const PUBLIC_HOST = 'give a host that the public internet reaches';

const fault = (what: string, remedy: string): TargetFault => ({ detail: `the address ${what}`, remedy });

export function targetOf(href: string): Target {
  const url = new URL(href);
  const secure = url.protocol === 'https:';
  return {
    secure,
    // a final dot makes a name absolute and names the same host
    host: url.hostname.replace(/^\[(.*)\]$/, '$1').replace(/\.$/, ''),
    port: url.port === '' ? (secure ? 443 : 80) : Number(url.port),
    path: `${url.pathname}${url.search}`,
  };
}

function namesThisMachine(host: string): boolean {
  return isIP(host) === 0 ? host === 'localhost' : isLoopback(host);
}
