import type { Output, OutputContext } from '../contract.ts';
import { holdsFirst } from './holds-first.ts';
import type { MqttOutputConfig } from './mqtt-config.ts';
import { mqttWay } from './mqtt-way.ts';
import { newsMessage } from './news-message.ts';
import { holdMessage, orderMessage } from './order-messages.ts';
import { deliveryPayload, standingAfter, wantedText, withdrawalPayload } from './order-payload.ts';
import { refusalWhenOver } from './plan-over.ts';

/** Publishes the plan in force, retained, for receivers that keep time themselves. */
export function createMqttOutput(
  config: MqttOutputConfig,
  context: OutputContext,
  env: NodeJS.ProcessEnv = process.env,
): Output {
  const { clock } = context;
  const { name } = config;
  const way = mqttWay(config, context, { env, order: 'plan' });
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
    tell: (news) => way.send([newsMessage(way.topic('news'), news, clock)]),
    health: way.health,
    stop: async () => {
      await way.stop();
      await desk.close(0);
    },
  };
}
