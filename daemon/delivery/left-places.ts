import type { Output, Wanted } from '../../adapters/contract.ts';
import { placeOfOutput } from '../../adapters/outputs/list.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { OutputConfig } from '../config/outputs-schema.ts';
import type { Db } from '../store/database.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addPlaces, leavePlace, type OutputPlace, openPlaces } from '../store/output-places.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { within } from '../within.ts';

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
      why: `${place.output} does not write here any more`,
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
    addStep(db, { atMs: nowMs, kind: 'place_left', who: DAEMON, what });
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
