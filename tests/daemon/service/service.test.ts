import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { placeInTheMorning } from '../../../daemon/site/config/demo.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { openDatabase } from '../../../daemon/site/store/database.ts';
import { readDaemonStatus } from '../../../daemon/site/store/running-daemon.ts';
import { fetchAlone } from '../../own-connection.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';
import { startBuilt } from './built-program.ts';
import { fakeNotify } from './fake-notify.ts';

const PASSWORD = 'invented-secret-of-the-broker';
const FILE_PASSWORD = 'invented-secret-in-a-file';

/** Where a day lies ahead now, whatever the hour: late in the evening no bed gets dry any more. */
const { zone, longitude } = placeInTheMorning(Date.now());

/** An invented site whose broker takes connections and never answers. */
function config({
  brokerPort,
  bed = 'green-1',
  dataFolder = 'memory',
}: {
  brokerPort: number;
  bed?: string;
  dataFolder?: string;
}): string {
  return `
site: { id: dune-end, name: Dune End (invented), latitude: 33.1, longitude: ${longitude}, elevation: 8 m, zone: ${zone} }
data_folder: ${dataFolder}
morning: { at: "00:00" }
weather:
  source: outlook
  wind_height: 10 m
  usual:
${Array.from({ length: 12 }, (_, month) => `    - { month: ${month + 1}, high: 24 °C, low: 17 °C, wind: 5 m/s, rain: 0 mm, cloud: 40 % }`).join('\n')}
outputs:
  - { output: file, folder: out }
  - { output: mqtt, name: broker-1, url: "mqtt://127.0.0.1:${brokerPort}", username_env: DEWBEAT_TEST_USER, password_env: DEWBEAT_TEST_PASSWORD, timeout: 60 s }
  - { output: mqtt, name: broker-2, prefix: second, url: "mqtt://127.0.0.1:${brokerPort}", username_env: DEWBEAT_TEST_USER, password_file: secret.txt, timeout: 60 s }
supply: { pump_flow: 800 L/min }
beds:
  - { id: ${bed}, area: 450 m², sand: coarse_open, water_before_seeding: true }
stations:
  - { id: s1, bed: ${bed}, flow: 200 L/min, rate: { stated: 16 mm/h }, rotation: 120 s, measured: true }
page: { port: 0 }
`;
}

/** A peer that accepts and then says nothing, which is worse than one that refuses. */
async function silentPeer(): Promise<number> {
  const server = createServer(() => undefined);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  onTestFinished(() => void server.close());
  const address = server.address();
  return typeof address === 'object' && address !== null ? address.port : 0;
}

describe('the service, in the built program', () => {
  it('serves and stops although its weather never answers', async () => {
    const cwd = scratchFolder();
    const whole = config({ brokerPort: 1 });
    const [before = '', after = ''] = whole.split(/^weather:[\s\S]*?^outputs:\n/m);
    const weather =
      'weather: { source: csv, file: pipe.csv, stamps: hour_ending, wind_height: 2 m, time: { form: iso, column: at }, columns: { air_temp: { column: t, unit: °C } } }\noutputs:\n';
    writeFileSync(
      join(cwd, 'dewbeat.yaml'),
      `${before}${weather}${after.replace(/^.*mqtt.*\n/gm, '')}`,
    );
    // A pipe that nobody writes to stands in for a share that has gone away.
    execFileSync('mkfifo', [join(cwd, 'pipe.csv')]);
    const daemon = startBuilt(['run'], { cwd });
    await daemon.saying('serving dune-end');
    const address = /serving dune-end, (http:\/\/[\d.:]+)/.exec(daemon.said())?.[1] ?? '';
    expect((await fetchAlone(`${address}/ready`)).status).toBe(200);
    // The pipe is not opened, so nothing hangs on it: it is refused by name.
    await daemon.saying(/pipe\.csv: this is no file that can be read again/);
    const askedMs = Date.now();
    daemon.signal('SIGTERM');
    await daemon.ended();
    expect(Date.now() - askedMs).toBeLessThan(10_000);
    expect(daemon.said()).toContain('"stopped"');
  });

  it('serves at once beside a silent broker, is reloaded in place, keeps secrets and stops in time', async () => {
    const cwd = scratchFolder();
    const file = join(cwd, 'dewbeat.yaml');
    const brokerPort = await silentPeer();
    writeFileSync(file, config({ brokerPort }));
    writeFileSync(join(cwd, 'secret.txt'), FILE_PASSWORD);
    const notify = fakeNotify();
    const startedMs = Date.now();
    const daemon = startBuilt(['run'], {
      cwd,
      env: {
        ...notify.env,
        WATCHDOG_USEC: '400000',
        DEWBEAT_TEST_USER: 'keeper',
        DEWBEAT_TEST_PASSWORD: PASSWORD,
      },
    });
    await daemon.saying('serving dune-end');
    expect(Date.now() - startedMs).toBeLessThan(10_000);
    const address = /serving dune-end, (http:\/\/[\d.:]+)/.exec(daemon.said())?.[1] ?? '';
    expect((await fetchAlone(`${address}/health`)).status).toBe(200);
    await expect
      .poll(() => notify.calls()[0], { timeout: 5_000 })
      .toBe(`READY=1 STATUS=serving dune-end, ${address}`);
    expect((await fetchAlone(`${address}/ready`)).status).toBe(200);
    await daemon.saying('morning plan made');
    const metrics = await (await fetchAlone(`${address}/metrics`)).text();
    for (const figure of [
      /^dewbeat_plan_age_seconds \d/m,
      /^dewbeat_plan_standing\{standing="held"\} 1$/m,
      /^dewbeat_driest_bed_minutes\{bed="green-1"\} /m,
      /^dewbeat_open_orders\{output="broker-1"\} 0$/m,
      /^dewbeat_output_up\{output="broker-1"\} 0$/m,
      /^dewbeat_round_seconds\{duty="morning plan"\} /m,
      /^dewbeat_database_writable 1$/m,
      /^nodejs_eventloop_lag_seconds /m,
    ]) {
      expect(metrics).toMatch(figure);
    }
    await expect.poll(() => notify.calls(), { timeout: 5_000 }).toContain('WATCHDOG=1');
    const memory = join(cwd, 'memory');
    expect(readDaemonStatus(memory)).toMatchObject({
      pid: daemon.pid,
      page: address,
      config_problems: [],
      unhealthy: [],
      database_fault: null,
      outputs: [
        { output: 'file', ok: true },
        { output: 'broker-1', ok: false },
        { output: 'broker-2', ok: false },
      ],
    });

    // Wrong in two places: both are told, and nothing changes.
    writeFileSync(
      file,
      config({ brokerPort }).replace('450 m²', '450 parsecs').replace('800 L/min', 'much'),
    );
    daemon.signal('SIGHUP');
    await daemon.saying('reload refused: 2 problem(s)');
    expect(daemon.said()).toMatch(/450 parsecs/);
    await expect
      .poll(() => readDaemonStatus(memory)?.config_problems.length, { timeout: 5_000 })
      .toBe(2);
    expect((await fetchAlone(`${address}/health`)).status).toBe(200);

    const told = await dewbeat(['status'], { cwd, nowMs: Date.now() });
    expect(told.code).toBe(2);
    expect(told.out).toContain('The daemon goes on with the config that it read at');
    expect(told.err.split('\n')).toHaveLength(2);

    writeFileSync(file, config({ brokerPort, dataFolder: 'elsewhere' }));
    daemon.signal('SIGHUP');
    await daemon.saying('data_folder: cannot change while the daemon runs');

    // A sound one: new beds are planned, and the page stays where it was.
    writeFileSync(file, config({ brokerPort, bed: 'green-9' }));
    daemon.signal('SIGHUP');
    await daemon.saying('config read again: it is sound');
    await expect
      .poll(() => readDaemonStatus(memory)?.config_problems.length, { timeout: 9_000 })
      .toBe(0);
    expect((await fetchAlone(`${address}/health`)).status).toBe(200);
    expect(notify.calls().filter((call) => call.startsWith('RELOADING=1'))).toHaveLength(3);

    const askedMs = Date.now();
    daemon.signal('SIGTERM');
    expect(await daemon.ended()).toBe(0);
    expect(Date.now() - askedMs).toBeLessThan(10_000);
    expect(notify.calls()).toContain('STOPPING=1');

    const db = openDatabase(memory);
    const kinds = lastAuditEntries(db, 50).map((step) => step.kind);
    db.close();
    expect(kinds).toEqual(expect.arrayContaining(['started', 'reload_refused', 'reloaded']));
    expect(kinds.at(-1)).toBe('stopped');
    const everything = [daemon.said(), readFileSync(join(memory, 'status.json'), 'utf8')].join(
      '\n',
    );
    for (const line of daemon.said().trim().split('\n')) {
      expect(() => JSON.parse(line), line).not.toThrow();
    }
    expect(everything).not.toContain(PASSWORD);
    expect(everything).not.toContain(FILE_PASSWORD);
  });
});
