import { isIP, isIPv6 } from 'node:net';
import type { Message } from '../../../words/language.ts';

/** The header that every action of the page carries: no other site can send it without our leave. */
export const ACTION_HEADER = 'x-dewbeat';

/** What is told when an action comes from elsewhere. */
export const FOREIGN_REQUEST: Message = {
  key: 'page_refused.foreign',
  values: { header: ACTION_HEADER },
};

const LOOPBACK_NAMES = new Set(['localhost', '127.0.0.1', '::1']);

/** The host of a Host header, without its port; null when it is none. */
function hostOf(header: string | undefined): string | null {
  const match = /^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(:\d{1,5})?$/i.exec(header ?? '');
  return match?.[1] === undefined ? null : match[1].toLowerCase().replace(/^\[|\]$/g, '');
}

/**
 * Whether a browser may reach the page under this host. A page from elsewhere can point a name of
 * its own at this machine; such a name is in no list here. A bare address cannot be so turned, and
 * counts where the page listens beyond this machine.
 */
export function isKnownHost(
  header: string | undefined,
  page: { isLoopback: boolean; hosts: readonly string[] },
): boolean {
  const host = hostOf(header);
  if (host === null) return false;
  if (LOOPBACK_NAMES.has(host) || page.hosts.includes(host)) return true;
  return !page.isLoopback && isIP(host) !== 0;
}

/** Whether an action comes from the page itself and from no other site's. */
export function isSameOrigin(headers: {
  host: string | undefined;
  origin: string | undefined;
  fetchSite: string | undefined;
}): boolean {
  const { host, origin, fetchSite } = headers;
  if (fetchSite !== undefined && fetchSite !== 'same-origin') return false;
  if (origin === undefined) return true;
  try {
    return host !== undefined && new URL(origin).host === host.toLowerCase();
  } catch {
    return false;
  }
}

const FORWARDED_HEADERS = [
  'forwarded',
  'x-forwarded-for',
  'x-forwarded-host',
  'x-forwarded-proto',
] as const;

/**
 * Why a request that a proxy has passed on is refused while none is named: behind one, everyone comes
 * from this machine, and would count as a person at it. Gives the header that tells of it; null: none has
 * passed it on, or one is named.
 */
export function unknownProxy(
  headers: Readonly<Record<string, unknown>>,
  { proxies }: { proxies: readonly string[] },
): string | null {
  return proxies.length === 0 ? forwardedBy(headers) : null;
}

export function unknownProxyTold(header: string): Message {
  return { key: 'page_refused.unknown_proxy', values: { header } };
}

/** The header by which a request says that a proxy has passed it on; null: it says no such thing. */
function forwardedBy(headers: Readonly<Record<string, unknown>>): string | null {
  return FORWARDED_HEADERS.find((name) => headers[name] !== undefined) ?? null;
}

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
