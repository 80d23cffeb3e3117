import { networkOf } from '../../src/platform/http/network-of';

// addresses for documentation: RFC 5737 and RFC 3849; text forms of one address: RFC 5952, section 1
it.each([
  ['192.0.2.7', '192.0.2.7'],
  // the same caller over a socket that takes both kinds: RFC 4291, section 2.5.5.2
  ['::ffff:192.0.2.7', '192.0.2.7'],
  ['::ffff:c000:207', '192.0.2.7'],
  ['2001:db8:0:0:1:0:0:1', '2001:db8::/64'],
  ['2001:DB8::1:0:0:1', '2001:db8::/64'],
  ['2001:db8:0:0:ffff:ffff:ffff:ffff', '2001:db8::/64'],
  ['2001:db8:0:1::1', '2001:db8:0:1::/64'],
  ['fe80::1', 'fe80::/64'],
  ['::1', '::/64'],
  // of a socket that is gone
  ['', ''],
])('%s counts as %s', (address, network) => {
  expect(networkOf(address)).toBe(network);
});
