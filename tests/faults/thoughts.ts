import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { ACTION_HEADER } from '../../daemon/faces/web/safety/request-origin.ts';
import { loadConfig } from '../../daemon/site/config/load.ts';
import { problemText } from '../../daemon/site/config/problems.ts';
import { freePort } from '../broker.ts';
import { fetchAlone } from '../own-connection.ts';
import { folderSite } from './folder-site.ts';
import { end, pause, startProgram, until } from './real-daemon.ts';

const EXAMPLE = fileURLToPath(new URL('../../config-examples/greens-18.yaml', import.meta.url));
/** The promises while people think aloud. */
const MOST_LOOP_DELAY_MS = 150;
const MOST_HEALTH_MS = 200;
const MOST_HOLD_MS = 2_000;
const HEALTH_PAUSE_MS = 20;
const HOME = '127.0.0.1';

interface Answered {
  status: number;
  text: string;
}

/** How long a loop stood: by the clock, and without its waits for a processor that others had. */
interface LoopDelay {
  longestMs: number;
  longestOwnMs: number;
}

/**
 * Loaded into a process before its own code: at a signal it writes down the longest delay of its
 * main loop since the last. How long the thread waited for a processor is Linux's own count.
 */
const PROBE = (file: string) =>
  `import { readFileSync, writeFileSync } from 'node:fs';
   import { isMainThread } from 'node:worker_threads';
   const waitedMs = () => {
     const [, ns] = readFileSync('/proc/self/task/' + process.pid + '/schedstat', 'utf8').split(' ');
     return Number(ns) / 1e6;
   };
   const PACE_MS = 5;
   let longestMs = 0, longestOwnMs = 0, atMs = performance.now(), waited = waitedMs();
   if (isMainThread) {
     setInterval(() => {
       const nowMs = performance.now(), now = waitedMs();
       const delayMs = nowMs - atMs - PACE_MS;
       longestMs = Math.max(longestMs, delayMs);
       longestOwnMs = Math.max(longestOwnMs, delayMs - (now - waited));
       atMs = nowMs;
       waited = now;
     }, PACE_MS).unref();
     process.on('SIGUSR2', () => {
       writeFileSync(${JSON.stringify(file)}, JSON.stringify({ longestMs, longestOwnMs }));
       longestMs = longestOwnMs = 0;
     });
   }`;

/**
 * Many previews at once on the site of eighteen greens, of one person and of as many people as there
 * are previews: the daemon's loop stays free, a hold empties the folder, and every preview is
 * answered by figures or by a refusal that says which.
 */
export async function thoughts(asked: {
  previews: number;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-thoughts-'));
  const broken: string[] = [];
  const lines: string[] = [];
  const config = await eighteenGreens(folder);
  const probeFile = join(folder, 'loop.json');
  const idleFile = join(folder, 'idle.json');
  const probed = (file: string) => [
    '--import',
    `data:text/javascript,${encodeURIComponent(PROBE(file))}`,
  ];
  const daemon = startProgram(folder, probed(probeFile));
  const idle = spawn(process.execPath, [
    ...probed(idleFile),
    '-e',
    'setTimeout(() => {}, 300_000)',
  ]);
  const url = `http://127.0.0.1:${config.page.port}`;
  const site = folderSite({
    folder,
    config,
    outFolder: join(folder, 'dewbeat-data-18', 'out'),
    broken: (what) => broken.push(what),
  });

  /** A request from one of this machine's own addresses: to the daemon each is another asker. */
  const post = (path: string, body: object, from: string): Promise<Answered> =>
    new Promise((resolve, reject) => {
      const headers = { 'content-type': 'application/json', origin: url, [ACTION_HEADER]: '1' };
      const asking = request(
        `${url}${path}`,
        { method: 'POST', headers, localAddress: from, agent: false },
        (reply) => {
          let text = '';
          reply.on('data', (chunk: Buffer) => {
            text += chunk.toString();
          });
          reply.once('end', () => resolve({ status: reply.statusCode ?? 0, text }));
        },
      );
      asking.once('error', reject);
      asking.end(JSON.stringify(body));
    });
  /** The longest delay of a loop since it was asked last. */
  const loopDelay = async (of: ChildProcess, file: string): Promise<LoopDelay> => {
    rmSync(file, { force: true });
    of.kill('SIGUSR2');
    let read: LoopDelay = { longestMs: Number.NaN, longestOwnMs: Number.NaN };
    await until(() => {
      try {
        read = JSON.parse(readFileSync(file, 'utf8')) as LoopDelay;
        return true;
      } catch {
        return false;
      }
    }, 10_000);
    return read;
  };

  /** So many previews at once, looked at from beside; `action` is done in their midst. */
  const wave = async (
    name: string,
    addressOf: (index: number) => string,
    action: () => Promise<string>,
  ): Promise<void> => {
    await loopDelay(daemon, probeFile);
    await loopDelay(idle, idleFile);
    let open = true;
    let longestHealthMs = 0;
    const watching = (async () => {
      while (open) {
        const startMs = performance.now();
        await (await fetchAlone(`${url}/health`)).text();
        longestHealthMs = Math.max(longestHealthMs, performance.now() - startMs);
        await pause(HEALTH_PAUSE_MS);
      }
    })();
    const startMs = performance.now();
    const all = Array.from({ length: asked.previews }, (_, index) => {
      const change = { kind: 'call', hotterK: 1 + (index % 5), windFraction: 1.5 };
      const body = { change: { ...change, cloudierFraction: 0 } };
      return post('/api/preview', body, addressOf(index));
    });
    await pause(300);
    const said = await action();
    const statuses = (await Promise.all(all)).map(({ status }) => status);
    const tookS = (performance.now() - startMs) / 1000;
    open = false;
    await watching;
    const { longestMs, longestOwnMs } = await loopDelay(daemon, probeFile);
    const busyMs = (await loopDelay(idle, idleFile)).longestMs;
    const count = (status: number) => statuses.filter((one) => one === status).length;
    const [shown, newer, busy] = [count(200), count(409), count(429)];
    lines.push(
      `${name}: ${shown} shown, ${newer} gave way to a newer one, ${busy} refused as too many, in ${tookS.toFixed(1)} s; loop delay ${longestMs.toFixed(0)} ms at most, without its waits for a processor ${longestOwnMs.toFixed(0)} ms, of an idle process meanwhile ${busyMs.toFixed(0)} ms; /health ${longestHealthMs.toFixed(0)} ms at most; ${said}`,
    );
    if (shown === 0 || shown + newer + busy !== asked.previews) {
      broken.push(`${name}: previews were answered with ${[...new Set(statuses)].join(', ')}`);
    }
    if (!(longestOwnMs < MOST_LOOP_DELAY_MS)) {
      broken.push(`${name}: the loop stood ${longestOwnMs.toFixed(0)} ms of its own accord`);
    }
    // What an idle process waits for its turn on this machine is no fault of the daemon.
    if (!(longestHealthMs < MOST_HEALTH_MS + busyMs)) {
      broken.push(`${name}: /health took ${longestHealthMs.toFixed(0)} ms`);
    }
  };

  const hold = async (): Promise<string> => {
    const startMs = performance.now();
    await post('/api/hold', { beds: 'all', why: 'invented', who: 'Person 3 (invented)' }, HOME);
    const isEmpty = await until(() => site.order()?.runs.length === 0, 20_000);
    const tookMs = performance.now() - startMs;
    if (!isEmpty || tookMs > MOST_HOLD_MS) broken.push(`a hold took ${tookMs.toFixed(0)} ms`);
    return `a hold emptied the folder after ${tookMs.toFixed(0)} ms`;
  };
  const change = async (): Promise<string> => {
    const startMs = performance.now();
    const stage = { kind: 'trim', bedId: 'green-1', trimPct: 110, why: 'invented' };
    const body = { change: stage, who: 'Person 2 (invented)' };
    const { status, text } = await post('/api/change', body, HOME);
    const isPlanned = status === 200 && (JSON.parse(text) as { plan: unknown }).plan !== null;
    if (!isPlanned) broken.push(`a change was answered with ${status} ${text.slice(0, 200)}`);
    return `a change with its plan took ${((performance.now() - startMs) / 1000).toFixed(1)} s`;
  };

  try {
    if (!(await site.ready())) broken.push('the daemon does not get ready');
    await site.confirmFresh();
    await wave('one person', () => HOME, hold);
    await site.confirmFresh();
    await wave('as many people', (index) => `127.0.0.${index + 2}`, hold);
    await wave('and a change', (index) => `127.0.0.${index + 2}`, change);
    if (daemon.exitCode !== null || daemon.signalCode !== null) broken.push('the daemon died');
  } finally {
    await end(daemon, 'SIGTERM');
    await end(idle, 'SIGKILL');
    rmSync(folder, { recursive: true, force: true });
  }
  return {
    lines: [
      ...lines,
      `broken promises: ${broken.length}`,
      ...broken.slice(0, 20).map((what) => `  ${what}`),
    ],
    isGood: broken.length === 0,
  };
}

/** The example of eighteen greens, where it is early morning now. */
async function eighteenGreens(folder: string) {
  const offsetH = ((6 - new Date().getUTCHours() + 36) % 24) - 12;
  const zone = offsetH === 0 ? 'Etc/GMT' : `Etc/GMT${offsetH > 0 ? '-' : '+'}${Math.abs(offsetH)}`;
  const replaced: readonly [RegExp, string][] = [
    [/longitude: -?\d+/, `longitude: ${offsetH * 15}`],
    [/zone: \S+ \}/, `zone: ${zone} }`],
    [/^morning:.*$/m, 'morning: { at: "00:30" }'],
  ];
  const example = readFileSync(EXAMPLE, 'utf8');
  const text = replaced.reduce((soFar, [from, to]) => soFar.replace(from, to), example);
  const file = join(folder, 'dewbeat.yaml');
  writeFileSync(file, `${text}\npage: { port: ${await freePort()} }\n`);
  const result = loadConfig(file);
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}
