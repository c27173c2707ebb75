import type { FileRole } from '../store/files-in-sight.ts';
import { HEARTBEAT_MS } from '../time/heartbeat-interval.ts';

/** Why a daemon that runs cannot be counted on: a closed list. */
export const UNREADY_CODES = [
  'starting',
  'database_gone',
  'lock_gone',
  'database_fault',
  'clockwork',
  'heartbeat_late',
] as const;

export type UnreadyCode = (typeof UNREADY_CODES)[number];

export interface Unready {
  code: UnreadyCode;
  text: string;
}

/** What readiness is judged by; null while the daemon starts. */
export interface ReadinessFacts {
  databaseFault: string | null;
  /** Files of the store that somebody deleted or replaced while they are open. */
  gone: Readonly<Record<FileRole, string | null>>;
  unhealthy: readonly string[];
  /** When the daemon last managed to write its status; null: never. */
  wroteMs: number | null;
}

/** Why the daemon is not ready; empty when it is. An output or weather that is away is no reason. */
export function unready(facts: ReadinessFacts | null, nowMs: number): Unready[] {
  if (facts === null) return [{ code: 'starting', text: 'the daemon is starting' }];
  const found: Unready[] = [];
  if (facts.gone.database !== null)
    found.push({ code: 'database_gone', text: facts.gone.database });
  if (facts.gone.lock !== null) found.push({ code: 'lock_gone', text: facts.gone.lock });
  if (facts.databaseFault !== null) {
    found.push({
      code: 'database_fault',
      text: `the database refuses to be written (got ${facts.databaseFault})`,
    });
  }
  for (const text of facts.unhealthy) found.push({ code: 'clockwork', text });
  if (facts.wroteMs === null || Math.abs(nowMs - facts.wroteMs) > 4 * HEARTBEAT_MS) {
    found.push({ code: 'heartbeat_late', text: 'the status has not been written of late' });
  }
  return found;
}
