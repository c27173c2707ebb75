import { execFileSync } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createMqttOutput } from '../../../adapters/outputs/mqtt.ts';
import { mqttOutputSchema } from '../../../adapters/outputs/mqtt-config.ts';
import { type BrokerSettings, findBroker, findOpenssl, startBroker } from '../../broker.ts';
import { untilHealthy } from './conformance.ts';
import { confirmedExample, contextForTest } from './output-context.ts';

const person = { name: 'field-invented', password: 'not-a-real-secret' };
const cleanUps: (() => Promise<void>)[] = [];
let folder: string;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'dewbeat-rights-'));
});
afterEach(async () => {
  for (const cleanUp of cleanUps.splice(0).reverse()) await cleanUp();
  await rm(folder, { recursive: true, force: true });
});

/** An output, started, before a broker with the given rights. */
async function before(broker: BrokerSettings, config: object = {}, env: NodeJS.ProcessEnv = {}) {
  const running = await startBroker(broker);
  cleanUps.push(running.stop);
  const test = contextForTest({ baseFolder: folder });
  const parsed = mqttOutputSchema.parse({
    output: 'mqtt',
    url: running.url,
    retry: '0.1 s',
    ...config,
  });
  const output = createMqttOutput(parsed, test.context, env);
  cleanUps.push(output.stop);
  await output.start();
  return { output, logged: test.logged, running };
}

async function until(fits: () => boolean): Promise<void> {
  for (let i = 0; i < 800 && !fits(); i++) await new Promise((wake) => setTimeout(wake, 5));
  expect(fits()).toBe(true);
}

describe.skipIf(findBroker() === null)('mqtt output and the rights at the broker', () => {
  const fromEnv = { username_env: 'DEWBEAT_TEST_USER', password_env: 'DEWBEAT_TEST_PASSWORD' };
  const env = { DEWBEAT_TEST_USER: person.name, DEWBEAT_TEST_PASSWORD: person.password };

  it('calls it rejected when MQTT 5 refuses the topic', async () => {
    const access = ['topic read dewbeat/#', 'topic write dewbeat/example-site/status'];
    const { output } = await before({ access });
    await untilHealthy(output);
    expect(await output.deliver('o-1', confirmedExample())).toEqual({
      kind: 'rejected',
      detail:
        'mqtt: the broker refused it (got 0x87, Publish error: Not authorized); ' +
        'look at its rights for this topic',
    });
  });

  it('logs in with name and password from the environment', async () => {
    const { output, logged } = await before({ person }, fromEnv, env);
    await untilHealthy(output);
    expect((await output.deliver('o-1', confirmedExample())).kind).toBe('accepted');
    expect(JSON.stringify([logged, output.health()])).not.toContain(person.password);
  });

  it('logs in with name and password from files', async () => {
    await writeFile(join(folder, 'name'), `${person.name}\n`);
    await writeFile(join(folder, 'password'), `${person.password}\r\n`);
    const files = { username_file: 'name', password_file: 'password' };
    const { output } = await before({ person }, files);
    await untilHealthy(output);
  });

  it('says once that the password is refused, shows none, and tries on', async () => {
    const wrong = { ...env, DEWBEAT_TEST_PASSWORD: 'wrong-secret' };
    const { output, logged } = await before({ person }, fromEnv, wrong);
    await until(() => output.health().detail.includes('Not authorized'));
    const answer = await output.deliver('o-1', confirmedExample());
    expect(answer).toEqual({
      kind: 'unknown',
      detail: 'mqtt: broker away: Connection refused: Not authorized',
    });
    // Three more tries would be three more lines.
    await new Promise((wake) => setTimeout(wake, 350));
    expect(logged.filter((line) => line.includes('Not authorized'))).toHaveLength(1);
    expect(JSON.stringify([logged, answer])).not.toMatch(/wrong-secret|field-invented/);
  });

  it('gets in by itself once the broker lets it', async () => {
    const wrong = { ...env, DEWBEAT_TEST_PASSWORD: 'wrong-secret' };
    const { output, running } = await before({ person }, fromEnv, wrong);
    await until(() => output.health().detail.includes('Not authorized'));
    await running.stop();
    const open = await startBroker({ port: running.port });
    cleanUps.unshift(open.stop);
    await untilHealthy(output);
  });

  it('sends nothing when a variable is not set, and names it', async () => {
    const { output, logged } = await before({ person }, fromEnv, {
      DEWBEAT_TEST_USER: person.name,
    });
    const detail =
      'mqtt: password_env: the variable is not set (got DEWBEAT_TEST_PASSWORD); give it before the start';
    expect(await output.deliver('o-1', confirmedExample())).toEqual({ kind: 'rejected', detail });
    expect(output.health()).toEqual({ ok: false, detail });
    expect(logged).toHaveLength(1);
  });

  it('sends nothing when a file cannot be read, and names it', async () => {
    const { output } = await before(
      { person },
      { username_env: 'DEWBEAT_TEST_USER', password_file: 'gone' },
      env,
    );
    expect((await output.deliver('o-1', confirmedExample())).detail).toBe(
      'mqtt: password_file: cannot be read (got ENOENT for gone); correct the path or its rights',
    );
  });
});

describe.skipIf(findBroker() === null || findOpenssl() === null)('mqtt output over TLS', () => {
  /** A certificate of one day for 127.0.0.1, that signs itself. */
  function certificate(name: string): { cert: string; key: string } {
    const paths = { cert: join(folder, `${name}.pem`), key: join(folder, `${name}.key`) };
    const request = ['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1'];
    const subject = [
      '-nodes',
      '-days',
      '1',
      '-subj',
      '/CN=invented',
      '-addext',
      'subjectAltName=IP:127.0.0.1',
    ];
    const out = ['-keyout', paths.key, '-out', paths.cert];
    execFileSync(findOpenssl() ?? '', [...request, ...subject, ...out], { stdio: 'ignore' });
    return paths;
  }

  it('delivers to a broker that the named authority signed', async () => {
    const { output } = await before({ tls: certificate('broker') }, { ca_file: 'broker.pem' });
    await untilHealthy(output);
    expect((await output.deliver('o-1', confirmedExample())).kind).toBe('accepted');
  });

  it('gives nothing to a broker that somebody else signed', async () => {
    certificate('other');
    const { output } = await before({ tls: certificate('broker') }, { ca_file: 'other.pem' });
    await until(() => /self[- ]signed/.test(output.health().detail));
    expect((await output.deliver('o-1', confirmedExample())).kind).toBe('unknown');
  });
});
