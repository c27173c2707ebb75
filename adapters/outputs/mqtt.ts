import { z } from 'zod';
import { readMqttSecrets } from '../broker-access.ts';
import type { Answer, FieldReport, Found, Output, OutputContext } from '../contract.ts';
import { holdsFirst } from './holds-first.ts';
import { isTopicLevel, type MqttOutputConfig } from './mqtt-config.ts';
import { type MqttLink, openLink } from './mqtt-link.ts';
import { alertMessage, holdMessage, type Message, orderMessage, worstOf } from './mqtt-messages.ts';
import {
  compareWithWanted,
  deliveryPayload,
  refusalWhenOver,
  standingAfter,
  wantedText,
  withdrawalPayload,
} from './order-document.ts';

/** Publishes the plan in force, retained, for receivers that keep time themselves. */
export function createMqttOutput(
  config: MqttOutputConfig,
  context: OutputContext,
  env: NodeJS.ProcessEnv = process.env,
): Output {
  const { clock } = context;
  const { name } = config;
  const way = mqttChannel(config, context, { env, order: 'plan' });
  const desk = holdsFirst();
  return {
    name,
    start: way.start,
    deliver: (orderId, confirmed) =>
      desk.deliver(orderId, async () => {
        const nowMs = context.now();
        const refusal = refusalWhenOver(confirmed, { where: name, nowMs, clock });
        if (refusal) return refusal;
        const expiryS = (confirmed.plan.endMs - nowMs) / 1000;
        const payload = deliveryPayload({ orderId, confirmed, clock });
        return way.send([orderMessage(way.topic('plan'), payload, expiryS)]);
      }),
    withdraw: (orderId, withdrawal) =>
      desk.withdraw(orderId, () => {
        const payload = withdrawalPayload({ orderId, withdrawal, clock });
        const standing = standingAfter(withdrawal);
        // An order of nothing does not expire: it must outlive whatever plan it takes away.
        const expiryS = standing ? (standing.plan.endMs - context.now()) / 1000 : null;
        // The hold goes first: it is what stops water that is running.
        return way.send([
          holdMessage(way.topic('hold'), payload, withdrawal),
          orderMessage(way.topic('plan'), payload, expiryS),
        ]);
      }),
    async find(wanted) {
      const found = way.find(wanted === null ? null : wantedText(wanted, clock));
      if (wanted !== null && found.kind !== 'as_wanted') desk.forget(wanted.orderId);
      return found;
    },
    // MQTT 3.1.1 knows no expiry: yesterday's plan would stand there for whoever comes.
    keepsPastOrders: config.protocol === '3.1.1',
    tell: (news) => way.send([alertMessage(way.topic('news'), news, clock)]),
    health: way.health,
    stop: async () => {
      await way.stop();
      await desk.close(0);
    },
  };
}

type State = { kind: 'open'; link: MqttLink } | { kind: 'shut'; answer: Answer };

const NOT_STARTED: State = {
  kind: 'shut',
  answer: { kind: 'unknown', detail: 'the output is not started' },
};
const STOPPED: State = {
  kind: 'shut',
  answer: { kind: 'unknown', detail: 'the output is stopped' },
};

/** The way to a broker that every mode of the MQTT output goes, and what comes back on it. */
export interface MqttChannel {
  topic(last: string): string;
  start(): Promise<void>;
  /** Publishes all at once, in this sequence; the answer is the worst of theirs. */
  send(messages: readonly Message[]): Promise<Answer>;
  /** Holds what is retained on the order's topic against its wanted text; null: none is known. */
  find(wanted: string | null): Found;
  health(): { ok: boolean; detail: string };
  stop(): Promise<void>;
}

/**
 * Reports that come in are passed on and can do nothing else.
 * @param order Last level of the topic that carries what stands.
 */
export function mqttChannel(
  config: MqttOutputConfig,
  context: OutputContext,
  { env, order }: { env: NodeJS.ProcessEnv; order: string },
): MqttChannel {
  const { log } = context;
  const { name } = config;
  const site = config.site ?? context.siteId;
  const topic = (last: string) => `${config.prefix}/${site}/${last}`;
  const heard = new Map([
    [topic('receipt'), 'receipt'],
    [topic('ran'), 'ran'],
  ] as const);
  let state: State = NOT_STARTED;

  function hear(from: string, payload: Uint8Array): void {
    const kind = heard.get(from as never);
    if (kind === undefined) return;
    const read = readReport(kind, payload, { output: name, nowMs: context.now() });
    if (!read.ok) {
      log.warn({ output: name, topic: from }, `${from}: a message ${read.why}; it was dropped`);
      return;
    }
    try {
      context.report(read.report);
    } catch (error) {
      log.error({ output: name, error: String(error) }, 'a report from the field was not taken');
    }
  }

  function shut(detail: string): void {
    state = { kind: 'shut', answer: { kind: 'rejected', detail: `${name}: ${detail}` } };
    log.error({ output: name }, `${name}: ${detail}`);
  }

  return {
    topic,
    async start() {
      if (state.kind === 'open') return;
      if (!isTopicLevel(site)) {
        shut(`site: does not fit into a topic (got ${site}); name a site without +, # and /`);
        return;
      }
      state = NOT_STARTED;
      try {
        const secrets = await readMqttSecrets(config, { baseFolder: context.baseFolder, env });
        if (state !== NOT_STARTED) return; // Stopped, or started twice, while the files were read.
        const clientId = config.client_id ?? `dewbeat-${site}-${name}`;
        const topics = {
          status: topic('status'),
          heard: [...heard.keys()],
          own: [topic(order)],
        };
        const link = openLink({ config, secrets, clientId, topics, log, hear });
        state = { kind: 'open', link };
      } catch (error) {
        if (state === NOT_STARTED) shut(error instanceof Error ? error.message : String(error));
      }
    },
    async send(messages) {
      if (state.kind === 'shut') return state.answer;
      const { link } = state;
      const worst = worstOf(await Promise.all(messages.map((message) => link.send(message))));
      return { ...worst, detail: `${name}: ${worst.detail}` };
    },
    find(wanted) {
      const where = `${name}: ${topic(order)}`;
      if (state.kind === 'shut') return { kind: 'unseen', detail: state.answer.detail };
      const standing = state.link.standing(topic(order));
      if (!standing.seen) return { kind: 'unseen', detail: `${where}: ${standing.why}` };
      return compareWithWanted(standing.text, wanted, { where, nowMs: context.now() });
    },
    health: () =>
      state.kind === 'open' ? state.link.health() : { ok: false, detail: state.answer.detail },
    async stop() {
      const before = state;
      state = STOPPED;
      if (before.kind === 'open') await before.link.close();
    },
  };
}

/** Reports are small; anything larger is no report. */
const MOST_REPORT_BYTES = 8 * 1024;
const DAY_S = 86_400;

// Unknown keys are dropped and not refused: receivers are built by others and may say more.
const receiptSchema = z.object({
  order_id: z.string().min(1).max(200),
  answer: z.enum(['accepted', 'rejected', 'unknown']),
  detail: z.string().max(500).default(''),
});

const ranSchema = z.object({
  station_id: z.string().min(1).max(80),
  start: z.iso.datetime({ offset: true }),
  run_s: z.number().min(0).max(DAY_S),
  flow_l_per_min: z.number().min(0).max(1e6).nullable().default(null),
});

export type ReadReport = { ok: true; report: FieldReport } | { ok: false; why: string };

/**
 * Reads what came back from the field. The result can be a receipt or a run and nothing else, so
 * no message, however made, can confirm a plan or start water.
 */
export function readReport(
  kind: FieldReport['kind'],
  payload: Uint8Array,
  { output, nowMs }: { output: string; nowMs: number },
): ReadReport {
  if (payload.byteLength > MOST_REPORT_BYTES) {
    return { ok: false, why: `is too large (got ${payload.byteLength} bytes)` };
  }
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(payload));
  } catch {
    return { ok: false, why: 'is no JSON in UTF-8' };
  }
  if (kind === 'receipt') {
    const { success, data, error } = receiptSchema.safeParse(value);
    if (!success) return { ok: false, why: wrongFields(error) };
    const { order_id: orderId, answer, detail } = data;
    return { ok: true, report: { kind, output, orderId, answer, detail, atMs: nowMs } };
  }
  const { success, data, error } = ranSchema.safeParse(value);
  if (!success) return { ok: false, why: wrongFields(error) };
  return {
    ok: true,
    report: {
      kind,
      output,
      stationId: data.station_id,
      startMs: Date.parse(data.start),
      runS: data.run_s,
      flowLPerMin: data.flow_l_per_min,
      atMs: nowMs,
    },
  };
}

function wrongFields(error: z.ZodError): string {
  const fields = error.issues.map(({ path }) => path.join('.') || 'the whole');
  return `does not fit in ${[...new Set(fields)].join(', ')}`;
}
