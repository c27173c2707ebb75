import type { IClientPublishOptions, MqttClient } from 'mqtt';
import { type Alert, type Answer, alertDocument, type Withdrawal } from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import type { OrderPayload } from './order-document.ts';

export interface Message {
  topic: string;
  text: string;
  retain: boolean;
  contentType: 'application/json' | 'text/plain';
  /** Seconds after which the broker drops it; null: never. MQTT 3.1.1 knows no such thing. */
  expiryS: number | null;
}

/** The longest expiry that the protocol can write. */
const MOST_EXPIRY_S = 0xffff_ffff;

/**
 * Publishes one message with QoS 1 and says what became of it. It never waits longer than the
 * timeout: a broker that is silent, or a connection that breaks, makes the answer unknown.
 */
export function publish(client: MqttClient, message: Message, timeoutMs: number): Promise<Answer> {
  const refusal = refusedBeforehand(client, message);
  if (refusal) return Promise.resolve(refusal);
  return new Promise((settle) => {
    const done = (answer: Answer) => {
      clearTimeout(timer);
      client.off('close', broken);
      settle(answer);
    };
    const broken = () =>
      done({ kind: 'unknown', detail: 'the connection broke before the broker acknowledged' });
    const timer = setTimeout(() => {
      const seconds = `${timeoutMs / 1000} s`;
      done({ kind: 'unknown', detail: `the broker did not acknowledge within ${seconds}` });
    }, timeoutMs);
    // Before the link forgets what was open, so that the answer names the break.
    client.prependOnceListener('close', broken);
    client.publish(message.topic, message.text, optionsOf(client, message), (error) =>
      done(error ? answerOf(error) : { kind: 'accepted', detail: 'the broker has it' }),
    );
  });
}

/**
 * Lets go of the messages that were never acknowledged, each with its answer. The library keeps
 * them over every reconnect, so a line that breaks often would fill the memory with old plans.
 */
export function forgetOpen(client: MqttClient): void {
  for (const id of Object.keys(client.outgoing)) client.removeOutgoingMessage(Number(id));
}

/** The worst of several answers: one that nobody knows about outweighs one that was refused. */
export function worstOf(answers: readonly Answer[]): Answer {
  const worst =
    answers.find(({ kind }) => kind === 'unknown') ??
    answers.find(({ kind }) => kind === 'rejected') ??
    answers[0];
  return worst ?? { kind: 'unknown', detail: 'nothing was sent' };
}

function optionsOf(client: MqttClient, message: Message): IClientPublishOptions {
  const options: IClientPublishOptions = { qos: 1, retain: message.retain };
  if (client.options.protocolVersion !== 5) return options;
  const properties = { payloadFormatIndicator: true, contentType: message.contentType };
  if (message.expiryS === null) return { ...options, properties };
  const messageExpiryInterval = Math.min(MOST_EXPIRY_S, Math.max(1, Math.ceil(message.expiryS)));
  return { ...options, properties: { ...properties, messageExpiryInterval } };
}

/** What the broker said at the connect that it will not take. */
function refusedBeforehand(client: MqttClient, message: Message): Answer | null {
  const said = client.serverProperties;
  if (message.retain && said?.retainAvailable === false) {
    return {
      kind: 'rejected',
      detail: 'the broker keeps no retained messages; allow them there or use another broker',
    };
  }
  const bytes = Buffer.byteLength(message.text) + Buffer.byteLength(message.topic) + 64;
  if (said?.maximumPacketSize !== undefined && bytes > said.maximumPacketSize) {
    return {
      kind: 'rejected',
      detail: `the plan is too large for the broker (got ${bytes} bytes); allow larger packets than ${said.maximumPacketSize} bytes there`,
    };
  }
  return null;
}

/** MQTT 5 marks refusals with reason codes from 0x80; any other error leaves the matter open. */
function answerOf(error: Error): Answer {
  const code = 'code' in error && typeof error.code === 'number' ? error.code : 0;
  if (code < 0x80) return { kind: 'unknown', detail: error.message };
  const hex = `0x${code.toString(16)}`;
  return {
    kind: 'rejected',
    detail: `the broker refused it (got ${hex}, ${error.message}); look at its rights for this topic`,
  };
}

/** What stands now, for receivers that come later too: retained. */
export function orderMessage(
  topic: string,
  payload: OrderPayload,
  expiryS: number | null,
): Message {
  return {
    topic,
    text: JSON.stringify(payload),
    retain: true,
    contentType: 'application/json',
    expiryS,
  };
}

/** The hold itself, for those who hear it now. */
export function holdMessage(
  topic: string,
  payload: OrderPayload,
  { siteDay }: Withdrawal,
): Message {
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

/** News that nobody has heard within an hour is none any more. */
const ALERT_EXPIRY_S = 3600;

/** News as a message: never retained, since what was once news is not the state of the site. */
export function alertMessage(topic: string, news: Alert, clock: SiteClock): Message {
  return {
    topic,
    text: JSON.stringify(alertDocument(news, clock.isoOf)),
    retain: false,
    contentType: 'application/json',
    expiryS: ALERT_EXPIRY_S,
  };
}
