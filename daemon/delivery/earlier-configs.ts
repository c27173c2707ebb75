import { randomBytes } from 'node:crypto';
import { readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import type { Output, Wanted } from '../../adapters/contract.ts';
import { placeOfOutput } from '../../adapters/outputs/list.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { OutputConfig } from '../site/config/connections.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { type Db, inTransaction } from '../site/store/database.ts';
import { addPlaces, leavePlace, type OutputPlace, openPlaces } from '../site/store/outbox.ts';
import { writeOwnFile } from '../site/store/own-files.ts';
import { within } from '../within.ts';
import { alertReader, sayTo } from '../words/plan-words.ts';

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

/** A place that no output of the config writes to any more, and where something may stand. */
export interface LeftPlace extends OutputPlace {
  /** What it was made from; null when that cannot be read any more. */
  made: OutputConfig | null;
}

const PATIENCE_MS = 5_000;

/** Where each output of the config writes to, by its name. */
export function placesOf({ outputs, site, baseFolder }: LoadedConfig): Map<string, string> {
  const facts = { siteId: site.id, baseFolder };
  return new Map(outputs.map((output) => [output.name, placeOfOutput(output, facts)]));
}

/** Remembers where the outputs of the config write to. */
export function rememberPlaces(db: Db, config: LoadedConfig, nowMs: number): void {
  const places = placesOf(config);
  addPlaces(
    db,
    config.outputs.map((output) => ({
      output: output.name,
      place: places.get(output.name) ?? '',
      config: JSON.stringify({ output, baseFolder: config.baseFolder }),
    })),
    nowMs,
  );
}

/**
 * Places where an earlier config put orders, and that nobody has emptied since: outlived by what
 * stands there. One to which another output of the config writes now is looked after by that one.
 */
export function leftPlaces(db: Db, config: LoadedConfig): LeftPlace[] {
  const inUse = new Set(placesOf(config).values());
  const left = new Map<string, LeftPlace>();
  for (const place of openPlaces(db)) {
    if (inUse.has(place.place)) continue;
    left.set(place.place, { ...place, made: outputOf(place) });
  }
  return [...left.values()];
}

/** Where relative paths of a place's config start from. */
export function baseFolderOf({ config }: OutputPlace): string {
  const { baseFolder } = JSON.parse(config) as { baseFolder?: unknown };
  return typeof baseFolder === 'string' ? baseFolder : '.';
}

/**
 * Takes away what stands at a place, looks whether it is gone, and remembers that it is.
 *
 * @returns What is in the way, in words; null when nothing stands there any more.
 */
export async function emptyPlace(
  place: LeftPlace,
  output: Output,
  given: { db: Db; config: LoadedConfig; nowMs: number },
): Promise<string | null> {
  const { db, config, nowMs } = given;
  // One that a stop has overtaken is never taken again: another minute, another order.
  const orderId = `left-${place.placeId}-${Math.floor(nowMs / MINUTE_MS)}`;
  const wanted: Wanted = {
    kind: 'withdraw',
    orderId,
    withdrawal: {
      siteId: config.site.id,
      siteDay: config.clock.siteDayOf(nowMs),
      beds: 'all',
      who: DAEMON,
      why: sayTo(alertReader(config))('stop_why.place_left', { output: place.output }),
      // The same text each time, so that it can be told whether it stands there.
      atMs: nowMs - (nowMs % DAY_MS),
      remaining: null,
    },
  };
  const answered = await within(output.withdraw(orderId, wanted.withdrawal), PATIENCE_MS);
  if (!answered.ended) return 'no answer';
  if (answered.value.kind !== 'accepted') return answered.value.detail;
  const looked = await within(output.find(wanted), PATIENCE_MS);
  if (!looked.ended) return 'it cannot be seen whether it is empty';
  const found = looked.value;
  if (found.kind !== 'as_wanted' && found.kind !== 'nothing') return found.detail;
  const same = openPlaces(db).filter((one) => one.place === place.place);
  inTransaction(db, () => {
    for (const { placeId } of same) leavePlace(db, { placeId, atMs: nowMs, why: 'emptied' });
    const what = `${place.output} does not write to ${place.place} any more: emptied`;
    addAuditEntry(db, { atMs: nowMs, kind: 'place_left', who: DAEMON, what });
  });
  return null;
}

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** The output's part of an earlier config; one that this program does not understand is null. */
function outputOf({ config }: OutputPlace): OutputConfig | null {
  try {
    const { output } = JSON.parse(config) as { output: unknown };
    return output as OutputConfig;
  } catch {
    return null;
  }
}
