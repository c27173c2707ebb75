import { isIP } from 'node:net';
import { z } from 'zod';
import { LANGUAGES } from '../../../adapters/contract.ts';
import { quantity } from '../../../adapters/quantity.ts';
import { pinHashFault } from './pin-hash.ts';

/** True for an address that only this machine can reach. */
export function isLoopback(address: string): boolean {
  return address === '::1' || /^127(\.\d{1,3}){3}$/.test(address);
}

/** A person who may use the page. */
export const personSchema = z.strictObject({
  name: z.string().trim().min(1).max(60).meta({ description: 'Name, as the log shows it.' }),
  pin: z
    .string()
    .refine((text) => pinHashFault(text) === null, {
      error: (issue) => pinHashFault(String(issue.input)) ?? '',
    })
    .meta({ description: 'Hash of the PIN, made by `dewbeat pin`; never the PIN itself.' }),
  role: z
    .enum(['keeper', 'watcher'])
    .default('keeper')
    .meta({ description: 'keeper: everything; watcher: looks and stops water, never confirms.' }),
  language: z
    .enum(LANGUAGES)
    .default('en')
    .meta({ description: 'Language that the page begins in: en (English) or es (Spanish).' }),
});

/** Names of hosts as a browser sends them, without a port. */
const hostSchema = z
  .string()
  .trim()
  .toLowerCase()
  .regex(/^[a-z0-9]([a-z0-9.-]*[a-z0-9])?$/, {
    error: 'is no name of a host; write it as in the address bar, such as greens.example.org',
  });

/** Where the page listens, who may use it, and how it is reached. */
export const pageSchema = z
  .strictObject({
    address: z
      .string()
      .refine((text) => isIP(text) !== 0, {
        error: (issue) =>
          `is not an IP address (got ${String(issue.input)}); write 127.0.0.1 for this machine alone`,
      })
      .default('127.0.0.1')
      .meta({ description: 'Address that the page listens on.' }),
    port: z.int().min(0).max(65_535).default(8780).meta({ description: 'Port of the page.' }),
    people: z
      .array(personSchema)
      .max(200)
      .default([])
      .refine(
        (people) => new Set(people.map(({ name }) => name.toLowerCase())).size === people.length,
        {
          error: 'has two people of one name; give each a name of their own',
        },
      )
      .meta({ description: 'Who may use the page; none: anyone at this machine, by their name.' }),
    hosts: z
      .array(hostSchema)
      .max(100)
      .default([])
      .meta({ description: 'Names under which browsers reach the page, besides this machine’s.' }),
    https: z
      .boolean()
      .default(false)
      .meta({ description: 'True where a proxy in front of the page speaks https to browsers.' }),
    proxies: z
      .array(
        z.string().refine((text) => isIP(text) !== 0, {
          error: (issue) =>
            `is not an IP address (got ${String(issue.input)}); write the proxy's own address, such as 127.0.0.1`,
        }),
      )
      .max(100)
      .default([])
      .meta({ description: 'Addresses of proxies whose word on who is asking is taken.' }),
    stop_by_anyone: z.boolean().default(true).meta({
      description:
        'True: whoever reaches the page may stop water without signing in, under their address.',
    }),
    idle: quantity('duration_min', { min: 5, max: 7 * 24 * 60 })
      .prefault('12 h')
      .meta({ description: 'A sign-in ends after so long without an action.' }),
  })
  .superRefine((page, context) => {
    if (page.people.length > 0) return;
    const refuse = (path: string[], message: string) =>
      context.addIssue({ code: 'custom', path, message, input: undefined });
    if (!isLoopback(page.address)) {
      refuse(
        ['address'],
        `can be reached from other machines (got ${page.address}); name people with PINs under people, or listen on 127.0.0.1`,
      );
    } else if (page.hosts.length > 0 || page.proxies.length > 0 || page.https) {
      refuse(
        [page.hosts.length > 0 ? 'hosts' : page.proxies.length > 0 ? 'proxies' : 'https'],
        'lets other machines in through a proxy; name people with PINs under people',
      );
    }
  })
  .prefault({})
  .meta({ description: 'The page for the morning review.' });

export type PageConfig = z.output<typeof pageSchema>;
