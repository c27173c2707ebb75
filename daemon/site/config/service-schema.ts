import { z } from 'zod';
import type { WebhookConfig } from '../../../adapters/alert-webhook.ts';
import { secretVariable } from '../../../adapters/broker-access.ts';
import { quantity } from '../../../adapters/quantity.ts';
import type { FieldRule } from '../store/run-state.ts';

/** When a day's plan is worked out anew by the daemon itself. */
export interface RevisionRule {
  /** How often it looks. */
  everyMs: number;
  /** How far the time to dry of a bed has to move. */
  thresholdMin: number;
  /** No second revision within this of the first. */
  quietMs: number;
}

/** When the daemon works a day's plan out anew. */
export const revisionsSchema = z
  .strictObject({
    every: quantity('duration_min', { min: 5, max: 240 })
      .prefault('15 min')
      .meta({ description: 'How often it looks whether the beds still dry when the plan says.' }),
    threshold: quantity('duration_min', { min: 5, max: 480 })
      .prefault('20 min')
      .meta({ description: 'How far the time to dry of a bed has to move for a new revision.' }),
    quiet: quantity('duration_min', { min: 5, max: 720 })
      .prefault('60 min')
      .meta({ description: 'No second revision of its own within this time.' }),
  })
  .prefault({})
  .meta({ description: 'Revisions that the daemon makes through the day, each held.' });

/** The rule in the units of the calculation. */
export function toRevisionRule(config: z.output<typeof revisionsSchema>): RevisionRule {
  return {
    everyMs: config.every * 60_000,
    thresholdMin: config.threshold,
    quietMs: config.quiet * 60_000,
  };
}

const answerSchema = z.enum(['notice', 'hold']);

/** How what receivers report is held against what was sent. */
export const fieldReportsSchema = z
  .strictObject({
    late: quantity('duration_min', { min: 1, max: 240 })
      .prefault('10 min')
      .meta({ description: 'How late a report may come, and how far off a start may be.' }),
    run_over: quantity('duration_s', { min: 0, max: 3600 })
      .prefault('60 s')
      .meta({ description: 'How much longer than planned a station may run.' }),
    flow_off: quantity('fraction', { min: 0.01, max: 1 })
      .prefault('25 %')
      .meta({ description: "How far measured flow may be off the station's." }),
    on_missing: answerSchema
      .default('notice')
      .meta({ description: 'After a run that did not come, or came without flow.' }),
    on_stuck: answerSchema.default('hold').meta({ description: 'After a station that ran on.' }),
    on_unasked: answerSchema
      .default('notice')
      .meta({ description: 'After a station that ran and nobody had asked it to.' }),
  })
  .prefault({})
  .meta({ description: 'What receivers report of runs, held against what was sent.' });

/** The rule in the units of the calculation. */
export function toFieldRule(config: z.output<typeof fieldReportsSchema>): FieldRule {
  return {
    lateMs: config.late * 60_000,
    runOverS: config.run_over,
    flowOffFraction: config.flow_off,
    onMissing: config.on_missing,
    onStuck: config.on_stuck,
    onUnasked: config.on_unasked,
  };
}

const LOOPBACK = new Set(['127.0.0.1', '[::1]', 'localhost']);

/** Who hears what the daemon tells, besides the outputs that can pass it on. */
export const newsSchema = z
  .strictObject({
    webhook: z
      .string()
      .refine(isSafeUrl, {
        // The text itself stays hidden: such addresses often hold a secret.
        error:
          'is no address to post to (got (hidden)); write https://..., or http:// on this machine alone',
      })
      .meta({ description: 'Address that news is posted to as JSON.' }),
    secret_env: secretVariable.optional().meta({
      description: 'Environment variable with the secret that signs it; begins with DEWBEAT_.',
    }),
    secret_file: z
      .string()
      .min(1)
      .optional()
      .meta({ description: 'File with that secret, in place of secret_env.' }),
    timeout: quantity('duration_s', { min: 0.1, max: 60 })
      .prefault('5 s')
      .meta({ description: 'How long one try may take.' }),
  })
  .refine((news) => news.secret_env === undefined || news.secret_file === undefined, {
    path: ['secret_file'],
    error: 'stands beside secret_env (got both); keep one',
  })
  .optional()
  .meta({ description: 'Where news goes; left out: to the log and to outputs that pass it on.' });

/** The webhook as its adapter takes it; null: none. */
export function toWebhook(config: z.output<typeof newsSchema>): WebhookConfig | null {
  if (config === undefined) return null;
  return {
    url: config.webhook,
    secretEnv: config.secret_env ?? null,
    secretFile: config.secret_file ?? null,
    timeoutS: config.timeout,
  };
}

function isSafeUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, hostname, username, password } = new URL(text);
  if (username !== '' || password !== '') return false;
  return protocol === 'https:' || (protocol === 'http:' && LOOPBACK.has(hostname));
}
