import { z } from 'zod';
import type { Output, OutputContext } from '../contract.ts';
import { createFileOutput, fileOutputSchema } from './file.ts';

/** Where confirmed plans can go: every output with its own config. */
export const outputConfigSchema = z.discriminatedUnion('output', [fileOutputSchema]);

export type OutputConfig = z.output<typeof outputConfigSchema>;

/** The output that the config asks for; it is not started yet. */
export function createOutput(config: OutputConfig, context: OutputContext): Output {
  switch (config.output) {
    case 'file':
      return createFileOutput(config, context);
  }
}
