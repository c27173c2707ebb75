import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { type Broker, startBroker } from '../broker.ts';
import { earlySite } from './early-site.ts';
import { personsAt } from './persons.ts';
import { end, pause, startProgram } from './real-daemon.ts';
import { random } from './simulation/random.ts';

/** How long all is left in peace at the end. */
const CALM_MS = 15_000;

/**
 * Kills a real daemon with SIGKILL at random moments while people confirm, hold and plan, and while
 * a real broker goes and comes; a receiver writes down every order. Then looks at the promises.
 */
export async function killRun(asked: {
  kills: number;
  seed: number;
  onKill?(done: number): void;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const rng = random(asked.seed);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-kill-'));
  const broken: string[] = [];
  const counts = { kills: 0, 'broker restarts': 0 };
  let broker: Broker = await startBroker();
  let hears: MqttClient | null = null;
  try {
    const config = await earlySite(folder, {
      outputs: [`{ output: mqtt, url: "${broker.url}" }`],
    });
    const db = openDatabase(config.dataFolder);
    const persons = personsAt({ db, config, rng, broken: (what) => broken.push(what) });
    hears = await persons.listen(broker.url);

    while (counts.kills < asked.kills) {
      const daemon = startProgram(folder);
      const livesMs = rng.chance(0.3) ? rng.whole(100, 1500) : rng.whole(1500, 4000);
      const endMs = Date.now() + livesMs;
      while (Date.now() < endMs) {
        await pause(rng.whole(20, 400));
        await persons.act();
      }
      await end(daemon, 'SIGKILL');
      counts.kills += 1;
      asked.onKill?.(counts.kills);
      if (rng.chance(0.04)) {
        await hears.endAsync(true);
        await broker.stop();
        await pause(rng.whole(0, 1500));
        broker = await startBroker({ port: broker.port });
        hears = await persons.listen(broker.url);
        counts['broker restarts'] += 1;
      }
    }

    const daemon = startProgram(folder);
    await pause(CALM_MS);
    persons.look();
    persons.judge();
    await end(daemon, 'SIGKILL');
    db.close();
    const lines = [
      `${Object.entries({ ...counts, ...persons.counts })
        .map(([what, times]) => `${times} ${what}`)
        .join(', ')}, ${persons.keeper.rows()} rows kept`,
      `broken promises: ${broken.length}`,
      ...broken.slice(0, 20).map((what) => `  ${what}`),
    ];
    return { lines, isGood: broken.length === 0 };
  } finally {
    await hears?.endAsync(true);
    await broker.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}
