import { type ChildProcess, spawn } from 'node:child_process';
import { pbkdf2Sync, randomBytes } from 'node:crypto';
import { chmod, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findProgram, isProgram } from './find-program.ts';

/** The broker's program, or null: then its tests are left out, and said to be. */
export function findBroker(): string | null {
  const { DEWBEAT_MOSQUITTO: named } = process.env;
  if (named !== undefined) return isProgram(named) ? named : null;
  return findProgram('mosquitto');
}

/** The program that makes certificates for the tests of encrypted connections, or null. */
export function findOpenssl(): string | null {
  return findProgram('openssl');
}

export interface Broker {
  port: number;
  url: string;
  /** Ends the broker; the port stays known, so that another can be started on it. */
  stop(): Promise<void>;
}

export interface BrokerSettings {
  /** The port of a broker before, or a free one. */
  port?: number;
  /** Name and password that it asks for; without them anyone may connect. */
  person?: { name: string; password: string };
  /** Lines of an access list; without it everything is allowed. */
  access?: readonly string[];
  /** Certificate files for an encrypted listener. */
  tls?: { cert: string; key: string };
}

/** Starts a real broker on a loopback port, with nothing kept on disk but its settings. */
export async function startBroker(settings: BrokerSettings = {}): Promise<Broker> {
  const program = findBroker();
  if (program === null)
    throw new Error('mosquitto: is not installed; install it or skip its tests');
  const port = settings.port ?? (await freePort());
  const folder = await mkdtemp(join(tmpdir(), 'dewbeat-broker-'));
  await chmod(folder, 0o755);
  const write = async (name: string, lines: readonly string[]) => {
    await writeFile(join(folder, name), `${lines.join('\n')}\n`, { mode: 0o644 });
    return join(folder, name);
  };
  const lines = [
    `listener ${port} 127.0.0.1`,
    'persistence false',
    'log_dest none',
    // What a test sends is lost by nobody but the program under test.
    'max_queued_messages 0',
    // Started as root it would become another user, who may not read this folder.
    ...(process.getuid?.() === 0 ? ['user root'] : []),
  ];
  if (settings.tls) lines.push(`certfile ${settings.tls.cert}`, `keyfile ${settings.tls.key}`);
  if (settings.person) {
    lines.push(`password_file ${await write('people', [passwordLine(settings.person)])}`);
  } else {
    lines.push('allow_anonymous true');
  }
  if (settings.access) lines.push(`acl_file ${await write('access', settings.access)}`);
  const child = spawn(program, ['-c', await write('broker.conf', lines)], { stdio: 'ignore' });
  // A test that fails before its clean-up must not leave a broker behind.
  const endWithTests = () => void child.kill('SIGKILL');
  process.once('exit', endWithTests);
  const stop = async () => {
    process.off('exit', endWithTests);
    await ended(child);
    await rm(folder, { recursive: true, force: true });
  };
  try {
    await untilListening(child, port);
  } catch (error) {
    await stop();
    throw error;
  }
  return { port, url: `${settings.tls ? 'mqtts' : 'mqtt'}://127.0.0.1:${port}`, stop };
}

/** A loopback port on which nothing listens now. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
}

/** A line of the broker's password file: PBKDF2 with SHA-512, as its own tool writes it. */
function passwordLine({ name, password }: { name: string; password: string }): string {
  const salt = randomBytes(12);
  const hash = pbkdf2Sync(password, salt, 101, 64, 'sha512');
  return `${name}:$7$101$${salt.toString('base64')}$${hash.toString('base64')}`;
}

async function untilListening(child: ChildProcess, port: number): Promise<void> {
  for (let attempt = 0; attempt < 250; attempt++) {
    if (child.exitCode !== null) throw new Error(`mosquitto: ended at once (${child.exitCode})`);
    if (await listens(port)) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(`mosquitto: did not listen on port ${port} within 5 s`);
}

function listens(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect({ port, host: '127.0.0.1' });
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}

function ended(child: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null || child.pid === undefined) {
      resolve();
      return;
    }
    child.once('exit', () => resolve());
    // It keeps nothing, so there is nothing to wait for.
    child.kill('SIGKILL');
  });
}
