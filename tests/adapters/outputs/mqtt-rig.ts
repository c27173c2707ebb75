import type { Output, OutputContext } from '../../../adapters/contract.ts';
import { createMqttOutput } from '../../../adapters/outputs/mqtt.ts';
import { mqttOutputSchema } from '../../../adapters/outputs/mqtt-config.ts';
import { createMqttRunsOutput } from '../../../adapters/outputs/mqtt-runs.ts';
import type { Timers } from '../../../adapters/outputs/timers.ts';
import { type Broker, type BrokerSettings, startBroker } from '../../broker.ts';
import { type CuttableLine, cuttableLine } from '../../cuttable-line.ts';
import { type Heard, type Listener, listen, retained } from '../../listener.ts';
import { contextForTest, type TestContext } from './output-context.ts';

export const PROTOCOLS = ['5', '3.1.1'] as const;

export interface MqttRig {
  output: Output;
  test: TestContext;
  listener: Listener;
  line: CuttableLine;
  retained(topic: string): Promise<Heard | null>;
  /** What was heard on a topic up to now. */
  heardOn(topic: string): Promise<Heard[]>;
  setAway(away: boolean): Promise<void>;
  close(): Promise<void>;
}

/** An output that is not yet started, a real broker, a line between that can be cut, a listener. */
export async function mqttRig(
  given: {
    protocol?: (typeof PROTOCOLS)[number];
    config?: object;
    context?: Partial<OutputContext>;
    broker?: BrokerSettings;
    env?: NodeJS.ProcessEnv;
    timers?: Timers;
  } = {},
): Promise<MqttRig> {
  let broker: Broker = await startBroker(given.broker);
  const line = await cuttableLine(broker.port);
  let listener = await listen(broker.url);
  const test = contextForTest(given.context);
  const config = mqttOutputSchema.parse({
    output: 'mqtt',
    url: `mqtt://127.0.0.1:${line.port}`,
    protocol: given.protocol ?? '5',
    timeout: '2 s',
    retry: '0.1 s',
    ...given.config,
  });
  const env = given.env ?? {};
  const output =
    config.mode === 'runs'
      ? createMqttRunsOutput(config, test.context, env, given.timers)
      : createMqttOutput(config, test.context, env);
  return {
    output,
    test,
    get listener() {
      return listener;
    },
    line,
    retained: (topic) => retained(broker.url, topic),
    heardOn: async (topic) => {
      const mark = `dewbeat/mark/${Math.random()}`;
      await listener.say(mark, '');
      await listener.until('the mark', (heard) => heard.some((one) => one.topic === mark));
      return listener.heard.filter((one) => one.topic === topic);
    },
    setAway: async (away) => {
      if (away) {
        await listener.close();
        await broker.stop();
        return;
      }
      broker = await startBroker({ ...given.broker, port: broker.port });
      listener = await listen(broker.url);
    },
    close: async () => {
      await output.stop();
      await listener.close();
      await line.close();
      await broker.stop();
    },
  };
}
