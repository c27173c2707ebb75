import type { FastifyInstance } from 'fastify';
import { expect, onTestFinished } from 'vitest';
import type { WeatherSource } from '../../../../adapters/weather/source.ts';
import { webServer } from '../../../../daemon/faces/web/server.ts';
import { makePlan } from '../../../../daemon/planning/make-plan.ts';
import type { Reckoner } from '../../../../daemon/service/reckoner/reckoner.ts';
import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { openDemo } from '../../../../daemon/site/config/demo.ts';
import { openWeather } from '../../../../daemon/site/config/open-weather.ts';
import { problemText } from '../../../../daemon/site/config/problems.ts';
import { type Db, openDatabase } from '../../../../daemon/site/store/database.ts';
import { addAttempt, openOrders } from '../../../../daemon/site/store/outbox.ts';
import type { StoredPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';

/** 05:10 at the demo's site. */
export const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');

/** What tests read of an answer, as far as it has it. */
export interface AnswerBody {
  code?: string;
  message?: string;
  line?: string;
  onItsWay?: string;
  lines?: string[];
  missed?: string[];
  newest?: { revision: number; digest: string };
  plan?: { revision: number; digest: string } | null;
  changes?: string[];
  retryAfterS?: number;
}

/** What a request was answered with. */
export interface Answered {
  status: number;
  body: AnswerBody;
  headers: Record<string, unknown>;
  text: string;
}

/** A page over the invented demo site, at an instant that the test moves on. */
export interface PageRig {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  app: FastifyInstance;
  /** `setByMs`: by how much somebody has set the clock on the wall. */
  clock: { nowMs: number; setByMs: number };
  plan(lift?: 'none' | 'all'): Promise<StoredPlan>;
  /** Every order that is owed is accepted now, as an output would. */
  accept(): void;
  get(path: string, headers?: Record<string, string>): Promise<Answered>;
  /** An action as the page itself does it: from its own origin, with its header. */
  post(path: string, body: unknown, headers?: Record<string, string>): Promise<Answered>;
}

export const HOST = '127.0.0.1:8780';

/** Serves the demo's page; `change` can give the config people, hosts or another address. */
export async function pageRig(
  change: (config: LoadedConfig) => LoadedConfig = (config) => config,
  given: { assetFolder?: string; reckoner?: Reckoner } = {},
): Promise<PageRig> {
  const folder = scratchFolder();
  const read = openDemo(folder, MORNING_MS);
  if (!read.ok) throw new Error(read.problems.map(problemText).join('\n'));
  const config = change(read.config);
  const db = openDatabase(config.dataFolder);
  const weather = openWeather(config);
  const clock = { nowMs: MORNING_MS, setByMs: 0 };
  const faults: unknown[] = [];
  const app = await webServer({
    db,
    config,
    weather,
    now: () => clock.nowMs,
    steadyMs: () => clock.nowMs - clock.setByMs,
    assetFolder: given.assetFolder ?? folder,
    onFault: (error) => faults.push(error),
    ...(given.reckoner === undefined ? {} : { reckoner: given.reckoner }),
  });
  onTestFinished(async () => {
    expect(faults).toEqual([]);
    await app.close();
    if (db.open) db.close();
  });
  const ask = async (
    method: 'GET' | 'POST',
    url: string,
    rest: { headers: Record<string, string>; payload?: string },
  ): Promise<Answered> => {
    const { statusCode, body, headers } = await app.inject({ method, url, ...rest });
    const isJson = String(headers['content-type']).includes('json');
    return {
      status: statusCode,
      body: isJson ? (JSON.parse(body) as AnswerBody) : {},
      headers,
      text: body,
    };
  };
  return {
    db,
    config,
    weather,
    app,
    clock,
    plan: (lift = 'none') =>
      makePlan(
        { db, config, weather, nowMs: clock.nowMs },
        { cause: 'person', who: 'A. Keeper', lift },
      ),
    accept() {
      for (const { orderId, output } of openOrders(db)) {
        const atMs = clock.nowMs;
        addAttempt(db, { orderId, output, atMs, answer: 'accepted', detail: 'invented' });
      }
    },
    get: (path, headers = {}) => ask('GET', path, { headers: { host: HOST, ...headers } }),
    post: (path, body, headers = {}) =>
      ask('POST', path, {
        headers: {
          host: HOST,
          origin: `http://${HOST}`,
          'x-dewbeat': '1',
          'content-type': 'application/json',
          ...headers,
        },
        payload: JSON.stringify(body),
      }),
  };
}
