import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { type Broker, startBroker } from '../broker.ts';
import { earlySite } from './early-site.ts';
import { faultyLine } from './faulty-line.ts';
import { personsAt } from './persons.ts';
import { end, pause, startProgram } from './real-daemon.ts';
import { random } from './simulation/random.ts';

/** Longer than the longest wait that a few failed tries lead to. */
const CALM_MS = 18_000;

/**
 * A line to the broker that drops, stalls and resets at random while people confirm, hold and plan,
 * and a broker that goes and comes. The daemon lives through it all; the promises are those of the
 * run that kills it.
 */
export async function line(asked: {
  seconds: number;
  seed: number;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const rng = random(asked.seed);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-line-'));
  const broken: string[] = [];
  const counts = { drops: 0, resets: 0, stalls: 0, refusals: 0, 'broker restarts': 0 };
  let broker: Broker = await startBroker();
  const between = await faultyLine(broker.port);
  let hears: MqttClient | null = null;
  let daemon = null as ReturnType<typeof startProgram> | null;
  try {
    const url = `mqtt://127.0.0.1:${between.port}`;
    const output = `{ output: mqtt, url: "${url}", timeout: 1 s, retry: 0.3 s }`;
    const config = await earlySite(folder, { outputs: [output] });
    const db = openDatabase(config.dataFolder);
    const persons = personsAt({ db, config, rng, broken: (what) => broken.push(what) });
    hears = await persons.listen(broker.url);
    daemon = startProgram(folder);

    const endMs = Date.now() + asked.seconds * 1000;
    const faults = async () => {
      while (Date.now() < endMs) {
        await pause(rng.whole(100, 2000));
        const what = rng.weighted({ drop: 3, reset: 3, stall: 3, refuse: 2, restart: 1 });
        if (what === 'drop') counts.drops += between.drop();
        if (what === 'reset') counts.resets += between.reset();
        if (what === 'stall') {
          counts.stalls += 1;
          between.stall(true);
          await pause(rng.whole(100, 3000));
          if (rng.chance(0.3)) between.reset();
          between.stall(false);
        }
        if (what === 'refuse') {
          counts.refusals += 1;
          between.refuse(true);
          between.drop();
          await pause(rng.whole(100, 2000));
          between.refuse(false);
        }
        if (what === 'restart') {
          counts['broker restarts'] += 1;
          await hears?.endAsync(true);
          await broker.stop();
          await pause(rng.whole(0, 1000));
          broker = await startBroker({ port: broker.port });
          hears = await persons.listen(broker.url);
        }
      }
    };
    const actions = async () => {
      while (Date.now() < endMs) {
        await pause(rng.whole(20, 600));
        await persons.act();
      }
    };
    await Promise.all([faults(), actions()]);
    await pause(CALM_MS);
    if (daemon.exitCode !== null || daemon.signalCode !== null) broken.push('the daemon died');
    persons.look();
    persons.judge();
    await end(daemon, 'SIGTERM');
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
    if (daemon) await end(daemon, 'SIGKILL');
    await hears?.endAsync(true);
    await between.stop();
    await broker.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}
