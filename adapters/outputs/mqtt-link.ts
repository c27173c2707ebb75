import { connect, type IClientOptions, type MqttClient } from 'mqtt';
import type { AdapterLog, Answer } from '../contract.ts';
import type { MqttOutputConfig } from './mqtt-config.ts';
import { forgetOpen, type Message, publish } from './mqtt-publish.ts';
import type { MqttSecrets } from './mqtt-secrets.ts';
import { NoReplayStore } from './no-replay-store.ts';

/** How long the broker keeps receipts for a daemon that is away. */
const SESSION_S = 86_400;
const KEEPALIVE_S = 30;
/** Far above any report: a broker that speaks MQTT 5 then sends nothing larger. */
const MOST_PACKET_BYTES = 65_536;

export interface LinkTopics {
  status: string;
  /** Topics to hear. */
  heard: readonly string[];
}

/** A connection to a broker that mends itself and says of every message what became of it. */
export interface MqttLink {
  send(message: Message): Promise<Answer>;
  health(): { ok: boolean; detail: string };
  /** Leaves with "stopped"; the will is not sent. */
  close(): Promise<void>;
}

/** Begins to connect and returns at once. */
export function openLink(given: {
  config: MqttOutputConfig;
  secrets: MqttSecrets;
  clientId: string;
  topics: LinkTopics;
  log: AdapterLog;
  hear(topic: string, payload: Uint8Array): void;
}): MqttLink {
  const { config, topics, log } = given;
  const timeoutMs = config.timeout * 1000;
  const client = connect(config.url, linkOptions(given));
  let lastFault = 'no connection yet';
  let deaf: string | null = null;

  const say = (text: string): Message => ({
    topic: topics.status,
    text,
    retain: true,
    contentType: 'text/plain',
    expiryS: null,
  });

  client.on('connect', () => {
    lastFault = 'the connection broke';
    deaf = 'receipts and runs are not heard yet';
    log.info({ output: config.name }, 'connected to the broker');
    void publish(client, say('online'), timeoutMs).then((answer) => {
      if (answer.kind !== 'accepted') log.warn({ output: config.name }, `status: ${answer.detail}`);
    });
    client.subscribe([...topics.heard], { qos: 1 }, (error) => {
      deaf = error ? `no receipts and runs can be heard: ${error.message}` : null;
      if (deaf !== null) log.warn({ output: config.name }, deaf);
    });
  });
  client.on('close', () => forgetOpen(client));
  client.on('message', (topic, payload) => given.hear(topic, payload));
  client.on('error', (error) => {
    const fault = faultOf(error);
    // A broker that is away for hours is one line in the log and not one each five seconds.
    if (fault !== lastFault) log.warn({ output: config.name }, `broker: ${fault}`);
    lastFault = fault;
  });

  return {
    send: (message) =>
      client.connected
        ? publish(client, message, timeoutMs)
        : Promise.resolve({ kind: 'unknown', detail: `broker away: ${lastFault}` }),
    health: () =>
      client.connected
        ? { ok: deaf === null, detail: deaf ?? 'connected to the broker' }
        : { ok: false, detail: `broker away: ${lastFault}` },
    close: () => closeClient(client, say('stopped'), Math.min(timeoutMs, 2000)),
  };
}

function linkOptions(given: Parameters<typeof openLink>[0]): IClientOptions {
  const { config, secrets, clientId, topics } = given;
  const common: IClientOptions = {
    ...secrets,
    clientId,
    // Receipts that come while the daemon is away wait in the session.
    clean: false,
    resubscribe: false,
    queueQoSZero: false,
    outgoingStore: new NoReplayStore(),
    keepalive: KEEPALIVE_S,
    connectTimeout: config.timeout * 1000,
    reconnectPeriod: config.retry * 1000,
    // A refused connection (a password not yet set, a busy broker) is tried again as well.
    reconnectOnConnackError: true,
    will: { topic: topics.status, payload: Buffer.from('offline'), qos: 1, retain: true },
  };
  return config.protocol === '5'
    ? {
        ...common,
        protocolVersion: 5,
        properties: {
          sessionExpiryInterval: SESSION_S,
          maximumPacketSize: MOST_PACKET_BYTES,
        },
      }
    : { ...common, protocolVersion: 4 };
}

async function closeClient(client: MqttClient, last: Message, timeoutMs: number): Promise<void> {
  if (!client.connected) return end(client, true, timeoutMs);
  await publish(client, last, timeoutMs);
  // The library waits for every acknowledgement before it says goodbye; those still open are
  // answered as unknown, and the goodbye is what keeps the will from being sent.
  forgetOpen(client);
  await end(client, false, timeoutMs);
}

function end(client: MqttClient, force: boolean, timeoutMs: number): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(() => {
      client.end(true);
      client.stream?.destroy();
      resolve();
    }, timeoutMs);
    client.end(force, () => {
      clearTimeout(timer);
      resolve();
    });
  });
}

/** A fault in words; several addresses of one host make an error without a message of its own. */
function faultOf(error: Error): string {
  const code = 'code' in error ? String(error.code) : '';
  if (error.message !== '') return error.message;
  return code === '' ? 'an unnamed fault' : code;
}
