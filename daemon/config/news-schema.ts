import { z } from 'zod';
import type { WebhookConfig } from '../../adapters/news-webhook.ts';
import { secretVariable } from '../../adapters/outputs/mqtt-access.ts';
import { quantity } from '../../adapters/quantity.ts';

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
