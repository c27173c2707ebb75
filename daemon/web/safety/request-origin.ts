import { isIP } from 'node:net';

/** The header that every deed of the page carries: no other site can send it without our leave. */
export const DEED_HEADER = 'x-dewbeat';

const LOOPBACK_NAMES = new Set(['localhost', '127.0.0.1', '::1']);

/** The host of a Host header, without its port; null when it is none. */
export function hostOf(header: string | undefined): string | null {
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

/** Whether a deed comes from the page itself and from no other site's. */
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
