import { resolve } from 'node:path';
import { z } from 'zod';
import type { Output, OutputContext } from '../contract.ts';
import { createFileOutput, fileOutputSchema } from './file.ts';
import { mqttOutputSchema } from './mqtt-config.ts';
import { syncFileCalls } from './replace-files.ts';

/** A kind of output: the shape of its config, and how one is made. */
interface OutputKind<Schema extends z.ZodType> {
  schema: Schema;
  /** Names what the output writes to: two configs of one place meet there. */
  place(config: z.infer<Schema>, facts: PlaceFacts): string;
  create(config: z.infer<Schema>, context: OutputContext, host: OutputHost): Promise<Output>;
}

/** What besides its own config says where an output writes to. */
export interface PlaceFacts {
  siteId: string;
  baseFolder: string;
}

/** Where an output runs. */
export interface OutputHost {
  /** True in a thread that does nothing else: it may wait for the disk. */
  ownThread: boolean;
}

/**
 * Every kind of output there is. A new one is added here, and the config knows it. A kind that
 * stands on a large library loads it when one is made: a command that only reads must not wait.
 */
export const OUTPUT_KINDS = {
  file: kind({
    schema: fileOutputSchema,
    place: ({ folder }, { baseFolder }) => `file ${resolve(baseFolder, folder)}`,
    create: async (config, context, { ownThread }) =>
      ownThread
        ? createFileOutput(config, context, syncFileCalls())
        : createFileOutput(config, context),
  }),
  mqtt: kind({
    schema: mqttOutputSchema,
    place: ({ url, prefix, site, mode }, { siteId }) =>
      `mqtt ${url} ${prefix}/${site ?? siteId} ${mode}`,
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
export function createOutput(
  config: OutputConfig,
  context: OutputContext,
  host: OutputHost = { ownThread: false },
): Promise<Output> {
  switch (config.output) {
    case 'file':
      return OUTPUT_KINDS.file.create(config, context, host);
    case 'mqtt':
      return OUTPUT_KINDS.mqtt.create(config, context, host);
  }
}

/** What an output writes to, in one line: what stands there outlives the config that put it there. */
export function placeOfOutput(config: OutputConfig, facts: PlaceFacts): string {
  switch (config.output) {
    case 'file':
      return OUTPUT_KINDS.file.place(config, facts);
    case 'mqtt':
      return OUTPUT_KINDS.mqtt.place(config, facts);
  }
}

function kind<Schema extends z.ZodType>(of: OutputKind<Schema>): OutputKind<Schema> {
  return of;
}
