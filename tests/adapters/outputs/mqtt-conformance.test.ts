import { describe } from 'vitest';
import type { OrderPayload } from '../../../adapters/outputs/order-payload.ts';
import { findBroker } from '../../broker.ts';
import { conformance } from './conformance.ts';
import { mqttRig, PROTOCOLS } from './mqtt-rig.ts';

const PLAN = 'dewbeat/example-site/plan';

describe.skipIf(findBroker() === null).each(PROTOCOLS)('over MQTT %s', (protocol) => {
  conformance(`mqtt ${protocol}`, async () => {
    const rig = await mqttRig({ protocol });
    return {
      output: rig.output,
      test: rig.test,
      standing: async () => {
        const found = await rig.retained(PLAN);
        return found === null ? null : (JSON.parse(found.text) as OrderPayload);
      },
      effects: async () =>
        (await rig.heardOn(PLAN)).map(({ text }) => (JSON.parse(text) as OrderPayload).order_id),
      setAway: rig.setAway,
      close: rig.close,
    };
  });
});
