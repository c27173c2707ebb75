import { readFileSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { connect as connectSocket, type Socket } from 'node:net';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { ACTION_HEADER } from '../../../daemon/faces/web/safety/request-origin.ts';
import { pinHash } from '../../../daemon/site/config/pin-hash.ts';
import { findBroker, startBroker } from '../../broker.ts';
import { ask, pause } from '../real-daemon.ts';
import {
  type Adversary,
  brokerWatched,
  judgedWell,
  type Tried,
  together,
  withRig,
} from './adversary.ts';
import { folderWatched, stopRig, useStationFile } from './rig.ts';

const signIns: Adversary = {
  name: 'sign-ins with new names from many addresses',
  async try() {
    const hash = await pinHash('482915');
    const people = `{ people: [{ name: A. Keeper, pin: "${hash}", role: keeper }] }`;
    const tried: Tried[] = [];
    for (const inFlight of [20, 100]) {
      const rig = await stopRig();
      const file = join(rig.folder, 'dewbeat.yaml');
      const text = readFileSync(file, 'utf8');
      writeFileSync(
        file,
        text.replace(/^page: \{ port: (\d+) \}$/m, `page: { port: $1, ${people.slice(2)}`),
      );
      try {
        await rig.start();
        await rig.confirmFresh();
        const flood = signInFlood(rig.port, inFlight);
        await pause(1_000);
        tried.push(judgedWell(`${inFlight} sign-ins in flight, page`, await rig.stopAtPage()));
        flood.end();
      } finally {
        await rig.end();
      }
    }
    return together(...tried);
  },
};

function signInFlood(port: number, inFlight: number): { end(): void } {
  let isOn = true;
  let count = 0;
  const one = () => {
    if (!isOn) return;
    count += 1;
    const localAddress = `127.0.0.${2 + (count % 200)}`;
    const body = JSON.stringify({ name: `Nobody ${count} (invented)`, pin: '123456' });
    const headers = {
      'content-type': 'application/json',
      origin: `http://127.0.0.1:${port}`,
      [ACTION_HEADER]: '1',
      'content-length': Buffer.byteLength(body),
    };
    const asking = request(
      { host: '127.0.0.1', port, localAddress, method: 'POST', path: '/api/sign-in', headers },
      (reply) => {
        reply.resume();
        reply.once('end', one);
      },
    );
    asking.once('error', () => void setTimeout(one, 20));
    asking.end(body);
  };
  for (let index = 0; index < inFlight; index++) one();
  return {
    end: () => {
      isOn = false;
    },
  };
}

const floods: Adversary = {
  name: 'previews, run reports, unknown keys, a long export',
  async try() {
    const tried: Tried[] = [];
    tried.push(
      await withRig({ beds: 18 }, async (rig) => {
        const change = { kind: 'call', hotterK: 3, windFactor: 1, cloudierPct: 0 };
        const previews = Array.from({ length: 150 }, () =>
          ask(rig.port, '/api/preview', { change, who: 'Watcher (invented)' }),
        );
        await pause(300);
        const page = judgedWell('150 previews, page', await rig.stopAtPage());
        await Promise.allSettled(previews);
        return page;
      }),
    );
    tried.push(
      await withRig({}, async (rig) => {
        const keys = Object.fromEntries(Array.from({ length: 9_000 }, (_, n) => [`k${n}`, n]));
        const checks = [1, 2, 3].map(() => ask(rig.port, '/api/setup/check', { answers: keys }));
        await pause(100);
        const page = judgedWell('9,000 unknown keys to the set-up, page', await rig.stopAtPage());
        await Promise.allSettled(checks);
        return page;
      }),
    );
    if (findBroker() !== null) {
      const broker = await startBroker();
      const outputs = ['{ output: file, folder: out }', `{ output: mqtt, url: "${broker.url}" }`];
      try {
        for (const messages of [12_000, 30_000]) {
          tried.push(
            await withRig({ outputs }, async (rig) => {
              const client = await mqtt.connectAsync(broker.url);
              const sent = Array.from({ length: messages }, (_, n) =>
                client.publishAsync(
                  'dewbeat/fen-edge/ran',
                  JSON.stringify({
                    station_id: 's1',
                    start: new Date(Date.now() - n * 1000).toISOString(),
                    run_s: 1,
                  }),
                  { qos: 1 },
                ),
              );
              await pause(500);
              const there = brokerWatched(broker.url);
              const both = [folderWatched('file', join(rig.folder, 'out')), there];
              const page = judgedWell(`${messages} run reports, page`, await rig.stopAtPage(both));
              await Promise.allSettled(sent);
              await client.endAsync(true);
              return page;
            }),
          );
        }
      } finally {
        await broker.stop();
      }
    }
    return together(...tried);
  },
};

const descriptors: Adversary = {
  name: '192 descriptors and idle connections',
  try: () =>
    withRig(
      {},
      async (rig) => {
        const sockets: Socket[] = [];
        for (let index = 0; index < 300; index++) {
          const socket = connectSocket({ host: '127.0.0.1', port: rig.port });
          socket.on('error', () => undefined);
          sockets.push(socket);
        }
        await pause(1_000);
        const page = judgedWell('300 idle connections, page', await rig.stopAtPage());
        for (const socket of sockets) socket.destroy();
        await pause(500);
        await rig.confirmFresh();
        const more = Array.from({ length: 300 }, () => {
          const socket = connectSocket({ host: '127.0.0.1', port: rig.port });
          socket.on('error', () => undefined);
          return socket;
        });
        await pause(500);
        const line = judgedWell('300 idle connections, command', await rig.stopByCommand());
        for (const socket of more) socket.destroy();
        return together(page, line);
      },
      { descriptors: 192 },
    ),
};

/** Minutes of a station's export: about so many megabytes. */
const EXPORT_MB = 21;
/** A heap with which the unit's memory limit is kept. */
const HEAP_MB = 160;

const longExport: Adversary = {
  name: 'a minute export of 21 MB, in the memory that the unit allows',
  async try() {
    const rig = await stopRig();
    useStationFile(rig.folder, minuteExport(Date.now()));
    try {
      await rig.start({ nodeArgs: [`--max-old-space-size=${HEAP_MB}`] });
      await rig.confirmFresh();
      const page = judgedWell('a long export, page', await rig.stopAtPage());
      await rig.confirmFresh();
      return together(page, judgedWell('a long export, command', await rig.stopByCommand()));
    } finally {
      await rig.end();
    }
  },
};

/** Invented minutes up to now, the newest last. */
function minuteExport(nowMs: number): string {
  const line = (atMs: number) =>
    `${new Date(atMs).toISOString()},${(20 + (atMs % 700_000) / 100_000).toFixed(1)}\n`;
  const rows = Math.round((EXPORT_MB * 1_000_000) / line(nowMs).length);
  const lines = ['at,t\n'];
  for (let row = rows; row > 0; row--) lines.push(line(nowMs - row * 60_000));
  return lines.join('');
}

/** Too much of everything: sign-ins, previews, reports, keys, connections. */
export const CROWDS: readonly Adversary[] = [signIns, floods, longExport, descriptors];
