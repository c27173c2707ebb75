import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { webServer } from '../../../../../daemon/faces/web/server.ts';
import { makePlan } from '../../../../../daemon/planning/make-plan.ts';
import type { ConfigResult, LoadedConfig } from '../../../../../daemon/site/config/config.ts';
import { openDemo } from '../../../../../daemon/site/config/demo.ts';
import { loadConfig } from '../../../../../daemon/site/config/load.ts';
import { openWeather } from '../../../../../daemon/site/config/open-weather.ts';
import { problemText } from '../../../../../daemon/site/config/problems.ts';
import { type Db, openDatabase } from '../../../../../daemon/site/store/database.ts';

const ROOT = fileURLToPath(new URL('../../../../../', import.meta.url));
/** Where `npm run build` puts the page. */
export const BUILT_PAGE = join(ROOT, 'dist', 'daemon', 'page');

/** 05:10 at the demo's site. */
export const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');

/** A site whose page is served for real on a loopback port, at an instant that the test moves on. */
export interface ServedSite {
  url: string;
  config: LoadedConfig;
  db: Db;
  clock: { nowMs: number };
  /** Faults that the server met; a test wants none. */
  faults: unknown[];
  plan(lift?: 'none' | 'all'): Promise<{ revision: number; digest: string }>;
  /** Takes the server away, as when the daemon ends. */
  leave(): Promise<void>;
  /** Serves it again at its address, as another start does; from another build's folder if asked. */
  comeBack(assetFolder?: string): Promise<void>;
  close(): Promise<void>;
}

/** Serves the demo, or an example config by its name, from a scratch folder. */
export async function servedSite(given: {
  example?: string;
  /** Changes the example's text before it is read. */
  edit?: (text: string) => string;
  nowMs?: number;
  change?: (config: LoadedConfig) => LoadedConfig;
}): Promise<ServedSite> {
  const { example, edit = (text) => text, nowMs = MORNING_MS, change = (config) => config } = given;
  if (!existsSync(join(BUILT_PAGE, 'page.js'))) {
    throw new Error(`${BUILT_PAGE}: has no page; run npm run build first`);
  }
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-page-'));
  const config = change(loaded(example === undefined ? openDemo(folder, nowMs) : open(example)));
  const db = openDatabase(config.dataFolder);
  const weather = openWeather(config);
  const clock = { nowMs };
  const faults: unknown[] = [];
  const serve = async (port: number, assetFolder: string) => {
    const served = await webServer({
      db,
      config,
      weather,
      now: () => clock.nowMs,
      assetFolder,
      onFault: (error) => faults.push(error),
    });
    await served.listen({ host: '127.0.0.1', port });
    return served;
  };
  let app = await serve(0, BUILT_PAGE);
  const url = app.listeningOrigin;
  let isAway = false;
  const leave = async () => {
    if (!isAway) await app.close();
    isAway = true;
  };
  return {
    url,
    config,
    db,
    clock,
    faults,
    async plan(lift = 'none') {
      const { plan, digest } = await makePlan(
        { db, config, weather, nowMs: clock.nowMs },
        { cause: 'person', who: 'A. Keeper', lift },
      );
      return { revision: plan.revision, digest };
    },
    leave,
    async comeBack(assetFolder = BUILT_PAGE) {
      app = await serve(Number(new URL(url).port), assetFolder);
      isAway = false;
    },
    async close() {
      await leave();
      if (db.open) db.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };

  function open(name: string): ConfigResult {
    const path = join(folder, name);
    writeFileSync(path, edit(readFileSync(join(ROOT, 'config-examples', name), 'utf8')));
    return loadConfig(path);
  }
}

function loaded(result: ConfigResult): LoadedConfig {
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}

/** A file of the built page, for what is measured. */
export function builtFile(name: string): Buffer {
  return readFileSync(join(BUILT_PAGE, name));
}
