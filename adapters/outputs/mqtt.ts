import type { Answer, Output, OutputContext, Withdrawal } from '../contract.ts';
import { holdsFirst } from './holds-first.ts';
import { isTopicLevel, type MqttOutputConfig } from './mqtt-config.ts';
import { type MqttLink, openLink } from './mqtt-link.ts';
import { type Message, worstOf } from './mqtt-publish.ts';
import { readReport } from './mqtt-reports.ts';
import { readMqttSecrets } from './mqtt-secrets.ts';
import {
  deliveryPayload,
  type OrderPayload,
  standingAfter,
  withdrawalPayload,
} from './order-payload.ts';
import { refusalWhenOver } from './plan-over.ts';

type Way = { kind: 'open'; link: MqttLink } | { kind: 'shut'; answer: Answer };

const NOT_STARTED: Way = {
  kind: 'shut',
  answer: { kind: 'unknown', detail: 'the output is not started' },
};
const STOPPED: Way = { kind: 'shut', answer: { kind: 'unknown', detail: 'the output is stopped' } };

/**
 * Publishes the plan in force, retained, for receivers that keep time themselves. What they send
 * back is passed on as a report and can do nothing else.
 */
export function createMqttOutput(
  config: MqttOutputConfig,
  context: OutputContext,
  env: NodeJS.ProcessEnv = process.env,
): Output {
  const { clock, log } = context;
  const { name } = config;
  const site = config.site ?? context.siteId;
  const topic = (last: string) => `${config.prefix}/${site}/${last}`;
  const heard = new Map([
    [topic('receipt'), 'receipt'],
    [topic('ran'), 'ran'],
  ] as const);
  const desk = holdsFirst();
  let way: Way = NOT_STARTED;

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
    way = { kind: 'shut', answer: { kind: 'rejected', detail: `${name}: ${detail}` } };
    log.error({ output: name }, `${name}: ${detail}`);
  }

  async function start(): Promise<void> {
    if (way.kind === 'open') return;
    if (!isTopicLevel(site)) {
      shut(`site: does not fit into a topic (got ${site}); name a site without +, # and /`);
      return;
    }
    way = NOT_STARTED;
    try {
      const secrets = await readMqttSecrets(config, { baseFolder: context.baseFolder, env });
      if (way !== NOT_STARTED) return; // Stopped, or started twice, while the files were read.
      const clientId = config.client_id ?? `dewbeat-${site}-${name}`;
      const topics = { status: topic('status'), heard: [...heard.keys()] };
      way = {
        kind: 'open',
        link: openLink({ config, secrets, clientId, topics, log, hear }),
      };
    } catch (error) {
      if (way === NOT_STARTED) shut(error instanceof Error ? error.message : String(error));
    }
  }

  async function send(messages: readonly Message[]): Promise<Answer> {
    if (way.kind === 'shut') return way.answer;
    const { link } = way;
    const worst = worstOf(await Promise.all(messages.map((message) => link.send(message))));
    return { ...worst, detail: `${name}: ${worst.detail}` };
  }

  const planMessage = (payload: OrderPayload, expiryS: number | null): Message => ({
    topic: topic('plan'),
    text: JSON.stringify(payload),
    retain: true,
    contentType: 'application/json',
    expiryS,
  });

  return {
    name,
    start,
    deliver: (orderId, confirmed) =>
      desk.deliver(orderId, async () => {
        const nowMs = context.now();
        const refusal = refusalWhenOver(confirmed, { where: name, nowMs, clock });
        if (refusal) return refusal;
        const expiryS = (confirmed.plan.endMs - nowMs) / 1000;
        return send([planMessage(deliveryPayload({ orderId, confirmed, clock }), expiryS)]);
      }),
    withdraw: (orderId, withdrawal) =>
      desk.withdraw(orderId, () => {
        const payload = withdrawalPayload({ orderId, withdrawal, clock });
        const standing = standingAfter(withdrawal);
        // An order of nothing does not expire: it must outlive whatever plan it takes away.
        const expiryS = standing ? (standing.plan.endMs - context.now()) / 1000 : null;
        // The hold goes first: it is what stops water that is running.
        const hold = holdMessage(topic('hold'), payload, withdrawal);
        return send([hold, planMessage(payload, expiryS)]);
      }),
    health: () =>
      way.kind === 'open' ? way.link.health() : { ok: false, detail: way.answer.detail },
    stop: async () => {
      const before = way;
      way = STOPPED;
      if (before.kind === 'open') await before.link.close();
      await desk.close(0);
    },
  };
}

function holdMessage(topic: string, payload: OrderPayload, { siteDay }: Withdrawal): Message {
  const hold = {
    format: 'dewbeat-hold',
    format_version: 1,
    order_id: payload.order_id,
    site_id: payload.site_id,
    site_day: siteDay,
    valid_until: payload.valid_until,
    ...payload.withdrawn,
  };
  return {
    topic,
    text: JSON.stringify(hold),
    retain: false,
    contentType: 'application/json',
    expiryS: null,
  };
}
