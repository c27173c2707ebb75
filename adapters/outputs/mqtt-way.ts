import type { Answer, Found, OutputContext } from '../contract.ts';
import { judgeText } from './found-order.ts';
import { isTopicLevel, type MqttOutputConfig } from './mqtt-config.ts';
import { type MqttLink, openLink } from './mqtt-link.ts';
import { type Message, worstOf } from './mqtt-publish.ts';
import { readReport } from './mqtt-reports.ts';
import { readMqttSecrets } from './mqtt-secrets.ts';

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
export interface MqttWay {
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
export function mqttWay(
  config: MqttOutputConfig,
  context: OutputContext,
  { env, order }: { env: NodeJS.ProcessEnv; order: string },
): MqttWay {
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
      return judgeText(standing.text, wanted, { where, nowMs: context.now() });
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
