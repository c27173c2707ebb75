import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { z } from 'zod';

const path = z.string().min(1);

/** A broker's address without user and password: those come from the environment or from files. */
export const brokerUrl = z.string().refine(isBrokerUrl, {
  // The text itself stays hidden: it may hold a password.
  error:
    'is no broker address (got (hidden)); write mqtt://host:port or mqtts://host:port, ' +
    'with user and password in username_env and password_env or in files',
});

/**
 * Name of an environment variable with a secret. The environment of a service holds other programs'
 * secrets too: whoever writes the config must not be able to send those anywhere.
 */
export const secretVariable = z.string().regex(/^DEWBEAT_\w{1,100}$/, {
  error: (issue) =>
    `is no variable for secrets of dewbeat (got ${String(issue.input)}); give it in one whose name begins with DEWBEAT_`,
});

/** Who asks the broker, and how it is known to be the right one. */
export const brokerAccess = {
  username_env: secretVariable.optional(),
  username_file: path.optional(),
  password_env: secretVariable.optional(),
  password_file: path.optional(),
  ca_file: path.optional().meta({ description: 'Authority that signed the broker, PEM.' }),
  cert_file: path.optional().meta({ description: 'Own certificate, PEM.' }),
  key_file: path.optional().meta({ description: 'Key of the own certificate, PEM.' }),
};

/** The keys of `brokerAccess` and the address, as a config has them once it is read. */
type BrokerAccess = { url: string } & {
  [key in keyof typeof brokerAccess]?: string | undefined;
};

/** Keys that exclude or need one another. */
export function checkAccess(config: BrokerAccess, context: z.core.$RefinementCtx): void {
  const refuse = (key: string, message: string) =>
    context.addIssue({ code: 'custom', path: [key], message });
  if (config.username_env !== undefined && config.username_file !== undefined) {
    refuse('username_file', 'stands beside username_env (got both); keep one');
  }
  if (config.password_env !== undefined && config.password_file !== undefined) {
    refuse('password_file', 'stands beside password_env (got both); keep one');
  }
  const password = config.password_env ?? config.password_file;
  if (password !== undefined && (config.username_env ?? config.username_file) === undefined) {
    refuse('username_env', 'is missing (got a password alone); name username_env or username_file');
  }
  if ((config.cert_file === undefined) !== (config.key_file === undefined)) {
    refuse('cert_file', 'needs key_file and the other way round (got one); name both or none');
  }
  const tls = config.ca_file ?? config.cert_file;
  if (tls !== undefined && !config.url.startsWith('mqtts:')) {
    refuse('url', 'is not encrypted (got mqtt: beside ca_file or cert_file); write mqtts:');
  }
}

function isBrokerUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const url = new URL(text);
  const bare = url.username === '' && url.password === '' && url.search === '' && url.hash === '';
  const broker = url.protocol === 'mqtt:' || url.protocol === 'mqtts:';
  return bare && broker && url.hostname !== '' && (url.pathname === '' || url.pathname === '/');
}

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
