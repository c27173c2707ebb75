import mqtt, { type IPublishPacket, type MqttClient } from 'mqtt';

export interface Heard {
  topic: string;
  text: string;
  retain: boolean;
  expiryS: number | undefined;
  contentType: string | undefined;
  qos: number;
}

/** A receiver in the field, as far as tests need one: it hears and it can speak. */
export interface Listener {
  readonly heard: readonly Heard[];
  /** Waits until what was heard fits. */
  until(what: string, fits: (heard: readonly Heard[]) => boolean): Promise<void>;
  say(topic: string, payload: string | Buffer): Promise<void>;
  close(): Promise<void>;
}

/** Connects to a broker with MQTT 5 and hears every topic below the filter. */
export async function listen(
  url: string,
  filter: string | string[] = 'dewbeat/#',
): Promise<Listener> {
  const client = mqtt.connect(url, { protocolVersion: 5, reconnectPeriod: 50 });
  const heard: Heard[] = [];
  client.on('message', (topic, payload, packet: IPublishPacket) => {
    heard.push({
      topic,
      text: payload.toString('utf8'),
      retain: packet.retain,
      expiryS: packet.properties?.messageExpiryInterval,
      contentType: packet.properties?.contentType,
      qos: packet.qos,
    });
  });
  await connected(client);
  // Retained as published, so that a test sees what a sender asked for.
  await client.subscribeAsync(filter, { qos: 1, rap: true });
  return {
    heard,
    until: async (what, fits) => {
      const lateMs = Date.now() + 8000;
      while (!fits(heard)) {
        if (Date.now() > lateMs) throw new Error(`not heard within 8 s: ${what}`);
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    },
    say: async (topic, payload) => {
      await client.publishAsync(topic, payload, { qos: 1 });
    },
    close: () => client.endAsync(true),
  };
}

/** What a receiver that connects now would find retained on a topic; null when nothing. */
export async function retained(url: string, topic: string): Promise<Heard | null> {
  // A message of one's own comes after everything retained: no waiting by the clock.
  const mark = `mark/${topic}`;
  const listener = await listen(url, [topic, mark]);
  await listener.say(mark, '');
  await listener.until('the mark', (heard) => heard.some((one) => one.topic === mark));
  await listener.close();
  return listener.heard.find((one) => one.topic === topic) ?? null;
}

function connected(client: MqttClient): Promise<void> {
  return new Promise((resolve, reject) => {
    client.once('connect', () => resolve());
    client.once('error', reject);
  });
}
