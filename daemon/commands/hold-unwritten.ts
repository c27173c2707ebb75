import { stopWithoutStore } from '../delivery/stop-without-store.ts';
import { planInForce } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import type { OpenedConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

/**
 * Sends a hold that the store refuses, tells each output's answer, and ends with the fault.
 * @param db Null when the store cannot even be read.
 * @throws CommandFailure always: an unwritten hold is a fault, however well it was sent.
 */
export async function holdUnwritten(
  { config }: OpenedConfig,
  shell: Shell,
  given: { db: Db | null; fault: unknown; who: string; why: string; beds: 'all' | string[] },
): Promise<never> {
  const { db, fault, who, why, beds } = given;
  const atMs = shell.nowMs();
  const remaining = db === null ? null : inForce(db, atMs);
  const everything = beds === 'all' || remaining === null;
  shell.out(
    `NOT WRITTEN, sent all the same: hold on ${everything ? 'everything' : beds.join(', ')}.`,
  );
  const asked = { who, why, beds: everything ? ('all' as const) : beds, atMs, remaining };
  const answers = await stopWithoutStore(config, asked, shell.nowMs);
  for (const [name, { kind, detail }] of answers) shell.out(`${name}: ${kind}, ${detail}`);
  const stopped = [...answers.values()].every(({ kind }) => kind === 'accepted');
  const message = fault instanceof Error ? fault.message : String(fault);
  throw new CommandFailure(
    1,
    `hold: could not be written (got ${message}); ${stopped ? 'the water is stopped, but' : 'NOT EVERY OUTPUT HAS TAKEN IT: close the valves by hand, and'} nothing remembers it: mend the store and hold again before anything is confirmed`,
  );
}

/** What is in force, or null when that cannot be read. */
function inForce(db: Db, nowMs: number) {
  try {
    return planInForce(db, nowMs);
  } catch {
    return null;
  }
}
