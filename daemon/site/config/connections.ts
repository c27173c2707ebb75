import { realpathSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { z } from 'zod';
import { outputConfigSchema } from '../../../adapters/outputs/list.ts';
import {
  partsOf,
  weatherSchema as sources,
  type WeatherConfig,
} from '../../../adapters/weather/combined.ts';
import type { Entry } from './entry.ts';
import type { ConfigProblem, KeyPath } from './problems.ts';

/** Where confirmed plans go. */
export const outputsSchema = z
  .array(outputConfigSchema)
  .max(50)
  .default([])
  .refine((outputs) => new Set(outputs.map(({ name }) => name)).size === outputs.length, {
    error: 'has two outputs of one name; give each a name of its own',
  })
  .meta({ description: 'Where confirmed plans go; none: the plan is only shown.' });

export type OutputConfig = z.output<typeof outputsSchema>[number];

/** Where the weather comes from. */
export const weatherSchema = sources.meta({
  description: 'Where the weather comes from: one source, a list, or observed and forecast.',
});

export type { WeatherConfig };

/** What `output: file` writes into its folder. */
export const OUTPUT_FILES = ['plan.json', 'runs.csv', 'card.txt'] as const;

const LOOPBACK = new Set(['localhost', '127.0.0.1', '[::1]']);

/** The ways in and out, as far as they could be read, and where their paths begin. */
export interface Connections {
  outputs: Entry<OutputConfig>[];
  weather: Entry<WeatherConfig>;
  /** Null: the site's id could not be read. */
  siteId: string | null;
  baseFolder: string;
}

/** Ways that stand in each other's way: one place for two, one name at a broker for two. */
export function connectionChecks(parts: Connections): ConfigProblem[] {
  return [...onePlace(parts), ...duplicateClients(parts), ...ranFiles(parts)];
}

/** Whatever one output writes, the other would overwrite, a hold by an old plan too. */
function onePlace({ outputs, siteId, baseFolder }: Connections): ConfigProblem[] {
  const placeOf = (config: OutputConfig): string => {
    if (config.output === 'file') return `folder ${realFolder(baseFolder, config.folder)}`;
    const site = config.site ?? siteId ?? '';
    return `topics ${config.prefix}/${site} at ${brokerOf(config.url)}`;
  };
  const first = new Map<string, string>();
  return outputs.flatMap((entry) => {
    const { value } = entry;
    if (value === null) return [];
    const place = placeOf(value);
    const other = first.get(place);
    if (other === undefined) {
      first.set(place, value.name);
      return [];
    }
    const [key, advice] =
      value.output === 'file'
        ? ['folder', 'give each a folder of its own']
        : ['prefix', 'give each a prefix of its own'];
    const message = `is where the output ${other} writes as well (got ${place}); ${advice}`;
    return [entry.problem([key], message)];
  });
}

interface Client {
  entry: Entry<unknown>;
  path: KeyPath;
  /** Who it is, for a person. */
  who: string;
  broker: string;
  clientId: string;
}

/** A broker throws one of two out when the other comes, again and again. */
function duplicateClients(parts: Connections): ConfigProblem[] {
  const first = new Map<string, string>();
  return [...outputClients(parts), ...weatherClients(parts)].flatMap(
    ({ entry, path, who, broker, clientId }) => {
      const key = `${broker} ${clientId}`;
      const other = first.get(key);
      if (other === undefined) {
        first.set(key, who);
        return [];
      }
      const message = `is the client id of ${other} at the same broker (got ${clientId}), which would throw one of them out for the other; give each a client_id of its own`;
      return [entry.problem(path, message)];
    },
  );
}

function outputClients({ outputs, siteId }: Connections): Client[] {
  return outputs.flatMap((entry) => {
    const { value } = entry;
    if (value?.output !== 'mqtt') return [];
    const { name, url, site, client_id } = value;
    const clientId = client_id ?? `dewbeat-${site ?? siteId ?? ''}-${name}`;
    const who = `the output ${name}`;
    return [{ entry, path: ['client_id'], who, broker: brokerOf(url), clientId }];
  });
}

function weatherClients({ weather }: Connections): Client[] {
  const { value } = weather;
  if (value === null) return [];
  const pathAt = (index: number): KeyPath => {
    if (Array.isArray(value)) return [index, 'client_id'];
    return 'source' in value ? ['client_id'] : [index === 0 ? 'observed' : 'forecast', 'client_id'];
  };
  return partsOf(value).flatMap(({ config }, index) => {
    if (config.source !== 'mqtt') return [];
    const { url, client_id, readings } = config;
    // Its own id follows from what it reads: two that read the same have the same.
    const clientId = client_id ?? `its own for ${readings.map(({ topic }) => topic).join(', ')}`;
    const who = `the weather ${config.name ?? 'over mqtt'}`;
    return [{ entry: weather, path: pathAt(index), who, broker: brokerOf(url), clientId }];
  });
}

/** A report of what ran that the daemon writes itself would tell it whatever it asked for. */
function ranFiles({ outputs, baseFolder }: Connections): ConfigProblem[] {
  const written = new Map<string, string>();
  for (const { value } of outputs) {
    if (value?.output !== 'file') continue;
    const folder = realFolder(baseFolder, value.folder);
    for (const name of OUTPUT_FILES) written.set(join(folder, name), value.name);
  }
  return outputs.flatMap((entry) => {
    const { value } = entry;
    if (value?.output !== 'file' || value.ran === undefined) return [];
    const writer = written.get(realFolder(baseFolder, value.ran));
    if (writer === undefined) return [];
    const message = `is a file that the output ${writer} writes itself (got ${value.ran}); name the file that the receiver writes`;
    return [entry.problem(['ran'], message)];
  });
}

/** Where a path leads, links followed as far as it is there. */
function realFolder(baseFolder: string, named: string): string {
  const path = resolve(baseFolder, named);
  try {
    return realpathSync(path);
  } catch {
    const parent = resolve(path, '..');
    return parent === path ? path : join(realFolder(parent, '.'), path.slice(parent.length));
  }
}

/** Host and port, however they are written. */
function brokerOf(url: string): string {
  const { protocol, hostname, port } = new URL(url);
  const host = LOOPBACK.has(hostname) ? 'localhost' : hostname.toLowerCase();
  return `${host}:${port || (protocol === 'mqtts:' ? 8883 : 1883)}`;
}
