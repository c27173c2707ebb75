import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { BrokerAccess } from './mqtt-access.ts';

/** What the connection needs beside the config: never logged, never in an answer. */
export interface MqttSecrets {
  username?: string;
  password?: string;
  ca?: string;
  cert?: string;
  key?: string;
}

/** What is read, under which key of the config, and from where. */
const SOURCES = [
  ['username', 'username_env', 'env'],
  ['username', 'username_file', 'file'],
  ['password', 'password_env', 'env'],
  ['password', 'password_file', 'file'],
  ['ca', 'ca_file', 'file'],
  ['cert', 'cert_file', 'file'],
  ['key', 'key_file', 'file'],
] as const;

/**
 * Reads names, passwords and certificates from the environment and from files.
 * @throws Error naming the key of the config; the text read is in no message.
 */
export async function readMqttSecrets(
  config: BrokerAccess,
  { baseFolder, env }: { baseFolder: string; env: NodeJS.ProcessEnv },
): Promise<MqttSecrets> {
  const secrets: MqttSecrets = {};
  for (const [secret, key, from] of SOURCES) {
    const named = config[key];
    if (named === undefined) continue;
    const text =
      from === 'env' ? env[named] : await fileText(resolve(baseFolder, named), key, named);
    if (text === undefined || text === '') {
      const what = from === 'env' ? 'the variable is not set' : 'the file is empty';
      throw new Error(`${key}: ${what} (got ${named}); give it before the start`);
    }
    secrets[secret] = text;
  }
  return secrets;
}

async function fileText(path: string, key: string, named: string): Promise<string> {
  try {
    return (await readFile(path, 'utf8')).replace(/\r?\n$/, '');
  } catch (error) {
    const code = (error as { code?: string }).code ?? 'a fault';
    throw new Error(
      `${key}: cannot be read (got ${code} for ${named}); correct the path or its rights`,
    );
  }
}
