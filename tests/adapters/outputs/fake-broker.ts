import { EventEmitter } from 'node:events';
import type { IClientOptions } from 'mqtt';

/** A message as the client was asked to publish it; `done` is the broker's acknowledgement. */
export interface Published {
  topic: string;
  text: string;
  options: { qos: number; retain: boolean; properties?: Record<string, unknown> };
  done(error?: Error): void;
}

/** A subscription as the client was asked for it. */
export interface Subscribed {
  topics: string[];
  options: { qos: number };
  done(error?: Error | null): void;
}

/**
 * Stands where the client of the MQTT library would: it notes what it is asked, and says what the
 * test says. What real brokers do is tested with a real one.
 */
export class FakeClient extends EventEmitter {
  static all: FakeClient[] = [];
  connected = false;
  serverProperties: Record<string, unknown> | undefined;
  outgoing: Record<string, unknown> = {};
  forgotten: number[] = [];
  published: Published[] = [];
  subscribed: Subscribed[] = [];
  ends: { force: boolean; done: (() => void) | undefined }[] = [];
  stream = {
    isDestroyed: false,
    destroy() {
      this.isDestroyed = true;
    },
  };
  /** Whether the broker acknowledges at once; false: it is silent. */
  answers = true;
  handleMessage: unknown = null;

  readonly url: string;
  readonly options: IClientOptions;

  constructor(url: string, options: IClientOptions) {
    super();
    this.url = url;
    this.options = options;
    FakeClient.all.push(this);
  }

  static get last(): FakeClient {
    const last = FakeClient.all.at(-1);
    if (last === undefined) throw new Error('nobody has connected');
    return last;
  }

  publish(
    topic: string,
    text: string,
    options: Published['options'],
    done: (error?: Error) => void,
  ) {
    this.published.push({ topic, text, options, done });
    if (this.answers) queueMicrotask(() => done());
  }

  subscribe(
    topics: string[],
    options: Subscribed['options'],
    done: (error?: Error | null) => void,
  ) {
    this.subscribed.push({ topics, options, done });
    if (this.answers) queueMicrotask(() => done(null));
  }

  removeOutgoingMessage(id: number) {
    this.forgotten.push(id);
    delete this.outgoing[String(id)];
  }

  end(force: boolean, done?: () => void) {
    this.ends.push({ force, done });
    this.connected = false;
    if (this.answers && done !== undefined) queueMicrotask(done);
  }

  /** The broker takes the connection. */
  connects(): this {
    this.connected = true;
    this.emit('connect');
    return this;
  }

  /** The connection breaks. */
  breaks(): this {
    this.connected = false;
    this.emit('close');
    return this;
  }

  /** A message comes in. */
  hears(topic: string, payload: string | Uint8Array): this {
    this.emit('message', topic, Buffer.from(payload));
    return this;
  }

  /** What was published on topics that end so, as texts. */
  textsOn(ending: string): string[] {
    return this.published.filter(({ topic }) => topic.endsWith(ending)).map(({ text }) => text);
  }
}

/** For `vi.doMock('mqtt')`: everything as it is, but for the connection. */
export async function fakeMqtt(original: () => Promise<object>): Promise<object> {
  return {
    ...(await original()),
    connect: (url: string, options: IClientOptions) => new FakeClient(url, options),
  };
}
