import { createHmac } from 'node:crypto';
import { resolve } from 'node:path';
import { type Alert, type Answer, alertDocument } from './contract.ts';
import { readRegular } from './regular-file.ts';

const MOST_SECRET_BYTES = 65_536;

/** Where news is posted to, and how. */
export interface WebhookConfig {
  url: string;
  /** The variable or the file that holds the secret; both null: nothing is signed. */
  secretEnv: string | null;
  secretFile: string | null;
  timeoutS: number;
}

/** Carries the HMAC-SHA256 of the body under the secret, in hex. */
export const SIGNATURE_HEADER = 'x-dewbeat-signature';

/**
 * Posts news as JSON and says what came of it; it never throws. The signature is taken over the very
 * bytes of the body, so that a listener can tell ours from anyone else's.
 */
export async function postAlert(
  config: WebhookConfig,
  news: Alert,
  given: { isoOf(instantMs: number): string; baseFolder: string; env?: NodeJS.ProcessEnv },
): Promise<Answer> {
  const body = JSON.stringify(alertDocument(news, given.isoOf));
  try {
    const secret = await secretOf(config, given);
    const signature = secret === null ? {} : { [SIGNATURE_HEADER]: signatureOf(body, secret) };
    const response = await fetch(config.url, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...signature },
      body,
      // A redirect would carry the news to where nobody has sent it.
      redirect: 'error',
      signal: AbortSignal.timeout(config.timeoutS * 1000),
    });
    await response.body?.cancel();
    if (response.ok) return { kind: 'accepted', detail: `status ${response.status}` };
    // What is too much for it now or broken for a while may go later; the rest will not.
    const later = response.status >= 500 || response.status === 408 || response.status === 429;
    return { kind: later ? 'unknown' : 'rejected', detail: `status ${response.status}` };
  } catch (error) {
    return { kind: 'unknown', detail: faultOf(error) };
  }
}

/** `sha256=` and the HMAC of a body, in hex. */
export function signatureOf(body: string, secret: string): string {
  return `sha256=${createHmac('sha256', secret).update(body).digest('hex')}`;
}

async function secretOf(
  { secretEnv, secretFile }: WebhookConfig,
  given: { baseFolder: string; env?: NodeJS.ProcessEnv },
): Promise<string | null> {
  if (secretEnv !== null) {
    const secret = (given.env ?? process.env)[secretEnv] ?? '';
    if (secret === '') throw new Error(`secret_env: ${secretEnv} is not set`);
    return secret;
  }
  if (secretFile === null) return null;
  const path = resolve(given.baseFolder, secretFile);
  const text = await readRegular(path, MOST_SECRET_BYTES).then(
    ({ bytes }) => bytes.toString('utf8'),
    () => '',
  );
  const secret = text.replace(/\r?\n$/, '');
  if (secret === '') throw new Error(`secret_file: ${secretFile} cannot be read or is empty`);
  return secret;
}

function faultOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  const { cause } = error;
  return cause instanceof Error ? `${error.message}: ${cause.message}` : error.message;
}
