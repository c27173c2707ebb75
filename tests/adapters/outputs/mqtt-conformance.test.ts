import { describe } from 'vitest';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import { findBroker } from '../../broker.ts';
import { conformance } from './conformance.ts';
import { mqttRig, PROTOCOLS } from './mqtt-rig.ts';

/** Where each mode keeps what stands. */
const MODES = [
  ['plan', 'dewbeat/example-site/plan'],
  ['runs', 'dewbeat/example-site/coming'],
] as const;

describe.skipIf(findBroker() === null).each(PROTOCOLS)('over MQTT %s', (protocol) => {
  describe.each(MODES)('in mode %s', (mode, topic) => {
    conformance(`mqtt ${protocol} ${mode}`, async () => {
      const rig = await mqttRig({ protocol, config: { mode } });
      return {
        output: rig.output,
        test: rig.test,
        standing: async () => {
          const found = await rig.retained(topic);
          return found === null ? null : (JSON.parse(found.text) as OrderPayload);
        },
        effects: async () =>
          (await rig.heardOn(topic)).map(({ text }) => (JSON.parse(text) as OrderPayload).order_id),
        setAway: rig.setAway,
        close: rig.close,
      };
    });
  });
});
