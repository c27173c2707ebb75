import { isIPv6 } from 'node:net';

/** Groups of an IPv6 address that name one network: whoever has it has every address in it. */
const NETWORK_GROUPS = 4;

/** The address that attempts are counted by: an IPv4 address, or the network of an IPv6 one. */
export function addressGroup(ip: string): string {
  const plain = plainAddress(ip);
  if (!isIPv6(plain)) return plain;
  const [head = '', tail = ''] = plain.split('::');
  const groupsOf = (text: string) => (text === '' ? [] : text.split(':'));
  const [first, last] = [groupsOf(head), groupsOf(tail)];
  const zeros = Array.from({ length: Math.max(0, 8 - first.length - last.length) }, () => '0');
  const groups = plain.includes('::') ? [...first, ...zeros, ...last] : first;
  const network = groups.slice(0, NETWORK_GROUPS).map((group) => Number.parseInt(group, 16));
  return `${network.map((group) => group.toString(16)).join(':')}::/64`;
}

/** An IPv4 address that came in over IPv6 is the same one; a zone of this machine says nothing. */
export function plainAddress(ip: string): string {
  return ip.replace(/^::ffff:(?=\d+\.)/i, '').replace(/%.*$/, '');
}
