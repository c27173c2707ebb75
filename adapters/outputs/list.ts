import { z } from 'zod';
import type { Output, OutputContext } from '../contract.ts';
import { createFileOutput, fileOutputSchema } from './file.ts';
import { mqttOutputSchema } from './mqtt-config.ts';

/** A kind of output: the shape of its config, and how one is made. */
interface OutputKind<Schema extends z.ZodType> {
  schema: Schema;
  create(config: z.infer<Schema>, context: OutputContext): Promise<Output>;
}

/**
 * Every kind of output there is. A new one is added here, and the config knows it. A kind that
 * stands on a large library loads it when one is made: a command that only reads must not wait.
 */
export const OUTPUT_KINDS = {
  file: kind({
    schema: fileOutputSchema,
    create: async (config, context) => createFileOutput(config, context),
  }),
  mqtt: kind({
    schema: mqttOutputSchema,
    create: async (config, context) => {
      if (config.mode === 'runs') {
        const { createMqttRunsOutput } = await import('./mqtt-runs.ts');
        return createMqttRunsOutput(config, context);
      }
      const { createMqttOutput } = await import('./mqtt.ts');
      return createMqttOutput(config, context);
    },
  }),
};

export const outputConfigSchema = z
  .discriminatedUnion('output', [OUTPUT_KINDS.file.schema, OUTPUT_KINDS.mqtt.schema])
  .meta({ description: 'One way out for confirmed plans.' });

export type OutputConfig = z.infer<typeof outputConfigSchema>;

/** Makes the output that a config declares; nothing is opened before its `start`. */
export function createOutput(config: OutputConfig, context: OutputContext): Promise<Output> {
  switch (config.output) {
    case 'file':
      return OUTPUT_KINDS.file.create(config, context);
    case 'mqtt':
      return OUTPUT_KINDS.mqtt.create(config, context);
  }
}

function kind<Schema extends z.ZodType>(of: OutputKind<Schema>): OutputKind<Schema> {
  return { schema: of.schema, create: (config, context) => of.create(config, context) };
}
