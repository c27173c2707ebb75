import { randomBytes } from 'node:crypto';
import { readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { Db } from '../store/database.ts';
import { writeOwnFile } from '../store/own-files.ts';
import { baseFolderOf, leftPlaces } from './left-places.ts';

/** File in the data folder with the last good site: what a stop needs when the config is wrong. */
export const SITE_FILE = 'site.json';

const keptOutput = z.object({
  /** The output's part of the config, in SI units; secrets are named in it and do not stand in it. */
  output: z.custom<LoadedConfig['outputs'][number]>(
    (value) => typeof value === 'object' && value !== null && 'output' in value && 'name' in value,
  ),
  base_folder: z.string(),
});

const siteSchema = z.object({
  format: z.literal('dewbeat-site'),
  format_version: z.literal(1),
  site_id: z.string().min(1),
  site_name: z.string(),
  zone: z.string().min(1),
  units: z.enum(['us', 'metric']),
  stations_at_once: z.int().min(1),
  bed_ids: z.array(z.string()),
  /** Whether it is the embedded demo. */
  demo: z.boolean(),
  /** Files that the config was read from. */
  sources: z.array(z.string()),
  outputs: z.array(keptOutput),
  /** Outputs of earlier configs at whose places something may still stand. */
  left: z.array(keptOutput),
});

/** A site as it was last known to be good: enough to stop its water. */
export type KeptSite = z.output<typeof siteSchema>;

/** The site of a sound config, with the places that earlier configs have left. */
export function keptSiteOf(config: LoadedConfig, demo: boolean, db: Db | null): KeptSite {
  const { site, zone, units, outputs, baseFolder, sources } = config;
  const left = db === null ? [] : leftPlaces(db, config);
  return {
    format: 'dewbeat-site',
    format_version: 1,
    site_id: site.id,
    site_name: site.name,
    zone,
    units,
    stations_at_once: Math.max(1, Math.min(site.limits.stationsAtOnce, 1_000_000)),
    bed_ids: site.beds.map(({ id }) => id),
    demo,
    sources,
    outputs: outputs.map((output) => ({ output, base_folder: baseFolder })),
    left: left.flatMap((place) =>
      place.made === null ? [] : [{ output: place.made, base_folder: baseFolderOf(place) }],
    ),
  };
}

/**
 * Keeps a site in its data folder, where it differs from what is kept there.
 * @throws when the folder refuses.
 */
export function keepSite(dataFolder: string, site: KeptSite): void {
  const text = `${JSON.stringify(site, null, 2)}\n`;
  const file = join(dataFolder, SITE_FILE);
  if (textOf(file) === text) return;
  const temporary = join(dataFolder, `.${SITE_FILE}.${randomBytes(4).toString('hex')}.tmp`);
  try {
    writeOwnFile(temporary, text);
    renameSync(temporary, file);
  } catch (error) {
    rmSync(temporary, { force: true });
    throw error;
  }
}

/** The site that is kept in a data folder, or null when there is none that can be read. */
export function readKeptSite(dataFolder: string): KeptSite | null {
  const text = textOf(join(dataFolder, SITE_FILE));
  if (text === null) return null;
  try {
    return siteSchema.safeParse(JSON.parse(text)).data ?? null;
  } catch {
    return null;
  }
}

function textOf(file: string): string | null {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return null;
  }
}
