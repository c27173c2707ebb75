import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { LoadedConfig } from '../../daemon/site/config/config.ts';
import { ALL_CAUTIONS } from '../../daemon/site/gate/valid-confirm.ts';
import { ask, command, until } from './real-daemon.ts';

const PATIENCE_MS = 30_000;

/** What stands in the folder of the file output. */
export interface FolderOrder {
  order_id: string;
  digest: string | null;
  withdrawn: { who: string } | null;
  runs: unknown[];
}

/** A real daemon with a file output, as a person sees and works it from outside. */
export interface FolderSite {
  ready(patienceMs?: number): Promise<boolean>;
  /** The order in the folder, or null when there is none to be read. */
  order(): FolderOrder | null;
  newest(): Promise<{ revision: number; digest: string } | null>;
  /** Sends a confirm through the page; the status of the answer. */
  confirm(plan: { revision: number; digest: string }): Promise<number>;
  /** Makes a plan that lifts every hold, confirms it, and waits until it stands in the folder. */
  confirmFresh(): Promise<void>;
  /** Looks once whether what stands in the folder was confirmed. */
  watch(): void;
}

export function folderSite(given: {
  folder: string;
  config: LoadedConfig;
  outFolder: string;
  broken(what: string): void;
}): FolderSite {
  const { folder, config, broken } = given;
  const { port } = config.page;
  const confirmed = new Set<string>();
  let refusal = '';

  const order = (): FolderOrder | null => {
    try {
      return JSON.parse(readFileSync(join(given.outFolder, 'plan.json'), 'utf8')) as FolderOrder;
    } catch {
      return null;
    }
  };
  const newest = async () => {
    const { status, text } = await ask(port, '/plan.json');
    if (status !== 200) return null;
    const { digest, plan } = JSON.parse(text) as { digest: string; plan: { revision: number } };
    return { revision: plan.revision, digest };
  };
  const site: FolderSite = {
    order,
    newest,
    ready: (patienceMs = PATIENCE_MS) =>
      until(async () => (await ask(port, '/ready')).status === 200, patienceMs),
    async confirm(plan) {
      const cautions = ALL_CAUTIONS.map(({ code }) => code);
      const body = { ...plan, who: 'Person 2 (invented)', cautions };
      const { status, text } = await ask(port, '/api/confirm', body);
      if (status === 200) confirmed.add(plan.digest);
      refusal = status === 200 ? '' : text;
      return status;
    },
    async confirmFresh() {
      const made = await command(folder, ['plan', '--lift', '--who', 'Person 2 (invented)']);
      if (made.code !== 0) broken(`no fresh plan could be made: ${made.said}`);
      let plan = await newest();
      let status = 0;
      // The daemon may have planned anew meanwhile: a person looks again and confirms that one.
      for (let tries = 0; tries < 3 && plan !== null && status !== 200; tries++) {
        if (tries > 0) plan = await newest();
        if (plan === null) break;
        // It may be in the folder before the answer to the confirm is here.
        confirmed.add(plan.digest);
        status = await site.confirm(plan);
      }
      if (plan === null) return broken('the page shows no plan');
      const { digest } = plan;
      if (status !== 200) return broken(`a fresh plan was refused with ${status}: ${refusal}`);
      const isThere = () => order()?.digest === digest && (order()?.runs.length ?? 0) > 0;
      if (await until(isThere, PATIENCE_MS)) return;
      const stands = order();
      const readiness = await ask(port, '/ready');
      broken(
        `a confirmed plan did not get to the folder: ${plan.digest} of revision ${plan.revision}; ` +
          `there stands ${stands?.digest ?? 'none'} with ${stands?.runs.length ?? 0} runs; ${readiness.text}`,
      );
    },
    watch() {
      const digest = order()?.digest ?? null;
      if (digest !== null && !confirmed.has(digest)) broken(`${digest} was confirmed by nobody`);
    },
  };
  return site;
}
