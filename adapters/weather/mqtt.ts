import { createHash } from 'node:crypto';
import type { connect, IClientOptions, MqttClient } from 'mqtt';
import { type MqttSecrets, readMqttSecrets } from '../broker-access.ts';
import { yieldBetweenMessages } from '../event-loop.ts';
import { HOUR_MS, hourGrid } from './hour-grid.ts';
import { type ColumnUnit, columnUnit, type StationField } from './measured-fields.ts';
import {
  type MqttReading,
  type MqttWeatherConfig,
  readMessage,
  statedFields,
} from './mqtt-message.ts';
import {
  summarizeRepeats,
  type WeatherContext,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';
import { stampClock } from './stamp-format.ts';
import { telemetryHours, telemetryMemory } from './telemetry.ts';

const KEEPALIVE_S = 30;
/** How long the broker keeps stamped readings for a daemon that is away. */
const SESSION_S = 86_400;
const MOST_PACKET_BYTES = 65_536;
const END_MS = 2000;

/**
 * Telemetry of a station over a broker. Started, it hears the topics and keeps every reading in the
 * daemon's memory; reading brings together by hour what is kept there, so that a command sees what
 * the daemon has heard, and a restart forgets nothing.
 */
export function mqttSource(config: MqttWeatherConfig, context: WeatherContext): WeatherSource {
  const name = config.name ?? `telemetry ${new URL(config.url).hostname}`;
  const zoneClock = stampClock(config.zone, context);
  const topics = new Map(config.readings.map((reading) => [reading.topic, reading]));
  const now = () => context.now?.() ?? Date.now();
  const units = unitsOfReadings(config.readings);
  const memory = telemetryMemory(context.memory, keyOf(config), {
    name,
    onFault: (error) =>
      context.log?.error({ weather: name, error: String(error) }, 'readings could not be kept'),
  });
  let client: MqttClient | null = null;
  let way: 'unstarted' | 'started' | 'stopped' = 'unstarted';
  let fault: string | null = null;

  function hear(topic: string, payload: Uint8Array, retained: boolean): void {
    const reading = topics.get(topic);
    if (reading === undefined) return;
    const nowMs = now();
    const heard = readMessage(payload, reading, { nowMs, retained, clock: zoneClock });
    if (heard.reading) memory.add(heard.reading);
    for (const one of heard.faults) memory.refuse(nowMs, { where: `${name}, ${topic}`, ...one });
  }

  function open(secrets: MqttSecrets, connectTo: typeof connect): void {
    client = connectTo(config.url, linkOptions(config, secrets, clientIdOf(config, context)));
    yieldBetweenMessages(client);
    client.on('connect', () => {
      fault = null;
      context.log?.info({ weather: name }, 'connected to the broker');
      client?.subscribe([...topics.keys()], { qos: 1 }, (error) => {
        if (!error) return;
        fault = `the topics cannot be heard: ${error.message}`;
        context.log?.warn({ weather: name }, fault);
      });
    });
    client.on('message', (topic, payload, packet) => hear(topic, payload, packet.retain));
    client.on('error', (error) => {
      const text = error.message || ('code' in error ? String(error.code) : 'an unnamed fault');
      if (text !== fault) context.log?.warn({ weather: name }, `broker: ${text}`);
      fault = text;
    });
    client.on('close', () => {
      fault ??= 'the broker is away';
    });
  }

  async function begin(): Promise<void> {
    try {
      const { baseFolder } = context;
      const secrets = await readMqttSecrets(config, { baseFolder, env: process.env });
      // Loaded here: commands that only read what is kept start without it.
      const library = await import('mqtt');
      if (way === 'started') open(secrets, library.connect);
    } catch (error) {
      fault = error instanceof Error ? error.message : String(error);
      context.log?.error({ weather: name }, fault);
    }
  }

  return {
    kind: 'mqtt',
    start() {
      if (way !== 'unstarted') return;
      way = 'started';
      void begin();
    },
    async stop() {
      way = 'stopped';
      memory.flush();
      if (client !== null) await end(client);
      memory.flush();
    },
    async read(request) {
      const youngestMs = await memory.newestMs();
      if (youngestMs === null) {
        const why = fault === null ? 'got none' : `got none; ${fault}`;
        throw new WeatherUnreadable(
          `${name}: no reading has come yet (${why}); look at the broker, the topics and whether the daemon runs`,
        );
      }
      const { fromMs, toMs, nowMs } = request;
      const kept = await memory.between({ fromMs, toMs: Math.min(toMs, nowMs) + HOUR_MS });
      const made = telemetryHours(kept.readings, {
        where: name,
        units,
        grid: hourGrid(fromMs, toMs),
        stamps: config.stamps,
        windHeightM: config.wind_height,
        nowMs,
      });
      const away = fault === null ? [] : [{ where: name, what: fault, done: 'it is tried again' }];
      return {
        source: name,
        hours: made.hours,
        asOfMs: Math.min(youngestMs, nowMs),
        problems: summarizeRepeats([...away, ...kept.problems, ...made.problems]),
      };
    },
  };
}

function unitsOfReadings(readings: readonly MqttReading[]): Map<StationField, ColumnUnit> {
  return new Map(
    readings.flatMap(({ fields }) =>
      statedFields(fields).flatMap(([field, { unit }]) => {
        const known = columnUnit(field, unit);
        return known ? [[field, known] as const] : [];
      }),
    ),
  );
}

/** Readings that were kept under another mapping or unit are not taken for readings of this one. */
function keyOf({ url, readings }: MqttWeatherConfig): string {
  const hash = createHash('sha256').update(JSON.stringify(readings)).digest('hex');
  return `mqtt ${url} ${hash.slice(0, 12)}`;
}

/** The same after a restart, another for each site on the broker. */
function clientIdOf(config: MqttWeatherConfig, context: WeatherContext): string {
  if (config.client_id !== undefined) return config.client_id;
  const { latitudeDeg, longitudeDeg, baseFolder } = context;
  const own = JSON.stringify([keyOf(config), latitudeDeg, longitudeDeg, baseFolder]);
  return `dewbeat-weather-${createHash('sha256').update(own).digest('hex').slice(0, 12)}`;
}

function linkOptions(
  config: MqttWeatherConfig,
  secrets: MqttSecrets,
  clientId: string,
): IClientOptions {
  // What waits at the broker can be told apart from what is new by its stamp alone.
  const clean = config.readings.some(({ time }) => time === undefined);
  const common: IClientOptions = {
    ...secrets,
    clientId,
    clean,
    resubscribe: false,
    keepalive: KEEPALIVE_S,
    connectTimeout: config.timeout * 1000,
    reconnectPeriod: config.retry * 1000,
    reconnectOnConnackError: true,
  };
  if (config.protocol === '3.1.1') return { ...common, protocolVersion: 4 };
  const properties = {
    sessionExpiryInterval: clean ? 0 : SESSION_S,
    maximumPacketSize: MOST_PACKET_BYTES,
  };
  return { ...common, protocolVersion: 5, properties };
}

function end(client: MqttClient): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(() => {
      client.end(true);
      client.stream?.destroy();
      resolve();
    }, END_MS);
    client.end(!client.connected, () => {
      clearTimeout(timer);
      resolve();
    });
  });
}
