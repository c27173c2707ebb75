import { openAndStop, readableInForce, sayUnwritten } from '../delivery/stop-without-store.ts';
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
  const remaining = db === null ? null : readableInForce(db, atMs);
  const everything = beds === 'all' || remaining === null;
  shell.out(
    `NOT WRITTEN, sent all the same: hold on ${everything ? 'everything' : beds.join(', ')}.`,
  );
  const asked = { who, why, beds: everything ? ('all' as const) : beds, atMs, remaining };
  const answers = await openAndStop(config, asked, shell.nowMs);
  for (const [name, { kind, detail }] of answers) shell.out(`${name}: ${kind}, ${detail}`);
  throw new CommandFailure(1, sayUnwritten(fault, answers, 'nobody'));
}
