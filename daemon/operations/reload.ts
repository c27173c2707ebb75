import type { ConfigResult, LoadedConfig } from '../config/loaded-config.ts';
import { problemText } from '../config/problems.ts';
import { type Service, type ServiceParts, tellStep } from './service.ts';

/** What came of reading the config again: the problems for which it was refused, or none. */
export type Reloaded = { ok: true } | { ok: false; problems: string[] };

/**
 * Reads the config again and restarts the service with it, in place. A config that is wrong changes
 * nothing: the last good one goes on, and every problem is logged.
 */
export async function reload(
  service: Service,
  parts: ServiceParts,
  readConfig: () => ConfigResult,
): Promise<Reloaded> {
  const { log } = parts;
  const refused = (problems: string[]): Reloaded => {
    for (const problem of problems) log.error(`config: ${problem}`);
    const what = `${problems.length} problem(s); the config read before goes on`;
    log.error(`reload refused: ${what}`);
    tellStep(parts, { kind: 'reload_refused', what: `${what}: ${problems[0] ?? ''}` });
    return { ok: false, problems };
  };
  const judged = judge(readConfig(), service.config());
  if (!judged.ok) return refused(judged.problems);
  log.info('config read again: it is sound; outputs and jobs start anew');
  try {
    await service.restart(judged.config);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return refused([`the daemon cannot be started with it (got ${why}); correct what it names`]);
  }
  tellStep(parts, { kind: 'reloaded', what: judged.config.sources.join(', ') });
  return { ok: true };
}

type Judged = { ok: true; config: LoadedConfig } | { ok: false; problems: string[] };

/**
 * A daemon's memory cannot be changed under it, nor given to another site: either needs another
 * start.
 */
function judge(read: ConfigResult, inUse: LoadedConfig): Judged {
  if (!read.ok) return { ok: false, problems: read.problems.map(problemText) };
  const { dataFolder, site } = read.config;
  const problems: string[] = [];
  if (dataFolder !== inUse.dataFolder) {
    problems.push(
      `data_folder: cannot change while the daemon runs (got ${dataFolder}, in use is ${inUse.dataFolder}); stop the daemon and start it again`,
    );
  }
  if (site.id !== inUse.site.id && dataFolder === inUse.dataFolder) {
    problems.push(
      `site.id: this data folder belongs to the site ${inUse.site.id} (got ${site.id}); name a data_folder of its own for ${site.id} and start a daemon there`,
    );
  }
  return problems.length === 0 ? read : { ok: false, problems };
}
