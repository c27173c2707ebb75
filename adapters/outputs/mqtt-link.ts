import { randomBytes } from 'node:crypto';
import { connect, type IClientOptions, type MqttClient, type Packet, Store } from 'mqtt';
import type { MqttSecrets } from '../broker-access.ts';
import type { AdapterLog, Answer } from '../contract.ts';
import { yieldBetweenMessages } from '../event-loop.ts';
import type { MqttOutputConfig } from './mqtt-config.ts';
import { forgetOpen, type Message, publish } from './mqtt-messages.ts';
import { MOST_ORDER_BYTES } from './order-document.ts';

/** How long the broker keeps receipts for a daemon that is away. */
const SESSION_S = 86_400;
const KEEPALIVE_S = 30;
/** Far above any order that is read back: a broker that speaks MQTT 5 then sends nothing larger. */
const MOST_PACKET_BYTES = MOST_ORDER_BYTES;

/** MQTT 5: another client has connected under the same id. */
const SESSION_TAKEN_OVER = 0x8e;
/** A connection that is shut sooner than this was not one that lasted. */
const SHORT_MS = 5_000;
/** So many short ones in a row look like another client of the same id, where nobody says so. */
const MOST_SHORT = 3;
/** Retained messages follow the acknowledgement of a subscription at once. */
const RETAINED_PATIENCE_MS = 300;
/** A broker that lost a retained message without a word is asked again this often. */
const LOOK_AGAIN_MS = 30_000;

export interface LinkTopics {
  status: string;
  /** Topics to hear. */
  heard: readonly string[];
  /** Topics of this output whose retained messages are read back. */
  own: readonly string[];
}

/** What stands on a topic: its text, null for nothing, or that nobody could look. */
export type Standing = { seen: true; text: string | null } | { seen: false; why: string };

/** A connection to a broker that mends itself and says of every message what became of it. */
export interface MqttLink {
  send(message: Message): Promise<Answer>;
  /** What the broker hands to whoever comes now, as far as this connection has seen it. */
  standing(topic: string): Standing;
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
  let lastFault = 'no connection yet';
  let deaf: string | null = null;
  let blind: string | null = 'the broker has not been asked yet';
  /** Texts seen on the own topics since this connection was made. */
  let seen = new Map<string, string>();
  let isClosed = false;
  let twin: string | null = null;
  let shortOnes = 0;
  let looking: NodeJS.Timeout | undefined;
  let client = open(given.clientId);

  const say = (text: string): Message => ({
    topic: topics.status,
    text,
    retain: true,
    contentType: 'text/plain',
    expiryS: null,
  });

  function open(clientId: string): MqttClient {
    const made = connect(config.url, linkOptions({ ...given, clientId }));
    yieldBetweenMessages(made);
    let connectedMs = 0;
    made.on('connect', () => {
      connectedMs = performance.now();
      lastFault = 'the connection broke';
      deaf = 'receipts and runs are not heard yet';
      log.info({ output: config.name }, 'connected to the broker');
      void publish(made, say('online'), timeoutMs).then((answer) => {
        if (answer.kind !== 'accepted')
          log.warn({ output: config.name }, `status: ${answer.detail}`);
      });
      made.subscribe([...topics.heard], { qos: 1 }, (error) => {
        deaf = error ? `no receipts and runs can be heard: ${error.message}` : null;
        if (deaf !== null) log.warn({ output: config.name }, deaf);
      });
      readBack(made);
    });
    made.on('packetreceive', (packet) => {
      if (packet.cmd !== 'disconnect' || packet.reasonCode !== SESSION_TAKEN_OVER) return;
      shortOnes = MOST_SHORT;
    });
    made.on('close', () => {
      forgetOpen(made);
      blind = 'the connection broke';
      clearTimeout(looking);
      if (made !== client || isClosed || connectedMs === 0) return;
      shortOnes = performance.now() - connectedMs < SHORT_MS ? shortOnes + 1 : shortOnes;
      connectedMs = 0;
      if (shortOnes >= MOST_SHORT && twin === null) stepAside(clientId);
    });
    made.on('message', (topic, payload) => {
      if (topics.own.includes(topic)) seen.set(topic, Buffer.from(payload).toString('utf8'));
      else given.hear(topic, payload);
    });
    made.on('error', (error) => {
      const fault = faultOf(error);
      // A broker that is away for hours is one line in the log and not one each five seconds.
      if (fault !== lastFault) log.warn({ output: config.name }, `broker: ${fault}`);
      lastFault = fault;
    });
    return made;
  }

  /** Asks for what is retained, at each connect and again and again. */
  function readBack(made: MqttClient): void {
    if (topics.own.length === 0) return;
    clearTimeout(looking);
    seen = new Map();
    blind = 'the broker has not said yet what stands there';
    // Nothing of it waits at the broker for a daemon that is away: it would be old when it comes.
    made.subscribe([...topics.own], { qos: 0 }, (error) => {
      if (error) {
        blind = `what stands there cannot be read: ${error.message}`;
        log.warn({ output: config.name }, blind);
        return;
      }
      looking = setTimeout(() => {
        blind = null;
        looking = setTimeout(() => {
          if (made.connected) readBack(made);
        }, LOOK_AGAIN_MS);
        looking.unref();
      }, RETAINED_PATIENCE_MS);
      looking.unref();
    });
  }

  /** Two clients of one id throw each other out without end: a stop must not wait for that. */
  function stepAside(clientId: string): void {
    twin = `another client uses the id ${clientId}: two daemons, or two outputs; give each its own client_id`;
    log.error({ output: config.name }, `broker: ${twin}`);
    const before = client;
    client = open(`${clientId}-${randomBytes(4).toString('hex')}`);
    before.end(true);
  }

  return {
    send: (message) =>
      client.connected
        ? publish(client, message, timeoutMs)
        : Promise.resolve({ kind: 'unknown', detail: `broker away: ${lastFault}` }),
    standing(topic) {
      if (!client.connected) return { seen: false, why: `broker away: ${lastFault}` };
      const text = seen.get(topic);
      // An empty payload takes a retained message away.
      if (text !== undefined) return { seen: true, text: text === '' ? null : text };
      return blind === null ? { seen: true, text: null } : { seen: false, why: blind };
    },
    health: () =>
      client.connected
        ? { ok: deaf === null && twin === null, detail: twin ?? deaf ?? 'connected to the broker' }
        : { ok: false, detail: `broker away: ${lastFault}` },
    close: () => {
      isClosed = true;
      clearTimeout(looking);
      return closeClient(client, say('stopped'), Math.min(timeoutMs, 2000));
    },
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

/**
 * A store of sent messages that keeps none. The library's own would send an unacknowledged plan
 * again by itself at the next connect, perhaps after a hold that was put on meanwhile; here only
 * the daemon says what is still owed.
 */
export class NoReplayStore extends Store {
  override put(_packet: Packet, done: (error?: Error) => void): this {
    done();
    return this;
  }

  override del(
    packet: Pick<Packet, 'messageId'>,
    done: (error?: Error, packet?: Packet) => void,
  ): this {
    done(undefined, packet as Packet);
    return this;
  }
}
