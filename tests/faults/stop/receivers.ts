import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { type Broker, findBroker, startBroker } from '../../broker.ts';
import { retained } from '../../listener.ts';
import { ask, pause, until } from '../real-daemon.ts';
import {
  type Adversary,
  brokerWatched,
  fact,
  judged,
  judgedWell,
  TOPIC,
  together,
  withRig,
} from './adversary.ts';
import { folderWatched, stopRig } from './rig.ts';

const brokerMemory: Adversary = {
  name: 'a broker restored to before the stop; one that forgets',
  async try() {
    if (findBroker() === null) return fact('broker: left out (mosquitto is not installed)', true);
    let broker: Broker = await startBroker();
    const outputs = [
      '{ output: file, folder: out }',
      `{ output: mqtt, url: "${broker.url}", retry: 0.2 s }`,
    ];
    try {
      return await withRig({ outputs }, async (rig) => {
        const there = brokerWatched(broker.url);
        await until(async () => ((await there.runs()) ?? 0) > 0, 10_000);
        const before = (await retained(broker.url, TOPIC))?.text ?? '';
        await broker.stop();
        broker = await startBroker({ port: broker.port });
        const isBack = await until(async () => ((await there.runs()) ?? 0) > 0, 10_000);
        const stopped = judgedWell('broker, page', await rig.stopAtPage([there]));
        await broker.stop();
        broker = await startBroker({ port: broker.port });
        // As a broker that remembered too much: what it kept from before the stop.
        const old = await mqtt.connectAsync(broker.url);
        await old.publishAsync(TOPIC, before, { retain: true, qos: 1 });
        const startMs = performance.now();
        const isPutRight = await until(async () => ((await there.runs()) ?? 0) === 0, 10_000);
        const tookMs = Math.round(performance.now() - startMs);
        await old.publishAsync(TOPIC, before, { retain: true, qos: 1 });
        const isForgedAway = await until(async () => ((await there.runs()) ?? 0) === 0, 10_000);
        await old.endAsync(true);
        return together(
          stopped,
          fact('a broker that forgot the plan has it again', isBack),
          fact('a broker restored to before the stop is put right', isPutRight, `${tookMs} ms`),
          fact('a forged retained order is taken away', isForgedAway),
        );
      });
    } finally {
      await broker.stop();
    }
  },
};

const reloads: Adversary = {
  name: 'reload with the folder moved, or file replaced by mqtt, then a stop',
  async try() {
    const change = async (what: string, to: string) =>
      withRig({}, async (rig) => {
        const file = join(rig.folder, 'dewbeat.yaml');
        const old = folderWatched('old place', join(rig.folder, 'out'));
        writeFileSync(
          file,
          readFileSync(file, 'utf8').replace('- { output: file, folder: out }', `- ${to}`),
        );
        rig.daemon().kill('SIGHUP');
        const startMs = performance.now();
        const isEmptied = await until(async () => ((await old.runs()) ?? 0) === 0, 10_000);
        const tookMs = Math.round(performance.now() - startMs);
        await until(async () => (await ask(rig.port, '/ready')).status === 200, 20_000);
        const page = judged(`${what}, page`, await rig.stopAtPage([old]));
        return together(fact(`${what}: the old place is emptied`, isEmptied, `${tookMs} ms`), page);
      });
    return together(
      await change('folder moved', '{ output: file, folder: elsewhere }'),
      await change('file replaced by mqtt', '{ output: mqtt, url: "mqtt://127.0.0.1:9" }'),
    );
  },
};

const twin: Adversary = {
  name: 'twin MQTT client id',
  async try() {
    if (findBroker() === null) return fact('twin: left out (mosquitto is not installed)', true);
    const broker = await startBroker();
    const outputs = [
      '{ output: file, folder: out }',
      `{ output: mqtt, url: "${broker.url}", client_id: twin-id, retry: 0.2 s }`,
    ];
    try {
      return await withRig({ outputs }, async (rig) => {
        const there = brokerWatched(broker.url);
        const other = mqtt.connect(broker.url, {
          clientId: 'twin-id',
          reconnectPeriod: 100,
          protocolVersion: 5,
        });
        other.on('error', () => undefined);
        await pause(4_000);
        const both = [folderWatched('file', join(rig.folder, 'out')), there];
        const page = judged('twin client, page', await rig.stopAtPage(both));
        const isNamed = await until(async () => (await rig.status()).includes('twin-id'), 15_000);
        other.end(true);
        return together(page, fact('status names the twin', isNamed));
      });
    } finally {
      await broker.stop();
    }
  },
};

/** A confirm is as honest as a stop: exit 0 only when every output has it. */
const honestConfirm: Adversary = {
  name: 'a confirm with an output that cannot take it',
  async try() {
    const outputs = [
      '{ output: file, folder: out }',
      '{ output: mqtt, url: "mqtt://127.0.0.1:9" }',
    ];
    const rig = await stopRig({ outputs });
    try {
      await rig.start();
      const confirmed = await rig.confirmFresh().then(
        () => 'exit 0',
        (error: unknown) => String(error),
      );
      return fact('told as not taken', confirmed.includes('NOT TAKEN'), confirmed.slice(0, 80));
    } finally {
      await rig.end();
    }
  },
};

/** What goes on at the far side, and what a reload does to it. */
export const RECEIVERS: readonly Adversary[] = [brokerMemory, reloads, twin, honestConfirm];
