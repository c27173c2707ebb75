import { createHash } from 'node:crypto';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

/** Longer paths cannot be the address of a socket on every system. */
const MOST_PATH_BYTES = 100;

/** Where the daemon of a data folder takes stops from this machine. */
export function stopSocketOf(dataFolder: string): string {
  const beside = join(resolve(dataFolder), 'stop.sock');
  if (Buffer.byteLength(beside) <= MOST_PATH_BYTES) return beside;
  const mark = createHash('sha256').update(beside).digest('hex').slice(0, 16);
  return join(tmpdir(), `dewbeat-${mark}.sock`);
}

/** What a daemon said of a stop. */
export interface DaemonSaid {
  /** True when every output took it and the store has it. */
  isWell: boolean;
  line: string;
  outputs: string[];
}

/** Asks the daemon of a data folder to stop water; null when none answers. */
export function askDaemonToStop(
  path: string,
  body: object,
  { patienceMs }: { patienceMs: number },
): {
  /** Settles once the daemon has it, long before it is carried out; true: it has it. */
  taken: Promise<boolean>;
  said: Promise<DaemonSaid | null>;
  close(): void;
} {
  const text = JSON.stringify(body);
  let close = () => {};
  let take = (_isTaken: boolean) => {};
  const taken = new Promise<boolean>((resolve) => {
    take = resolve;
  });
  const said = new Promise<DaemonSaid | null>((resolve) => {
    const headers = {
      'content-type': 'application/json',
      'content-length': Buffer.byteLength(text),
    };
    const asking = request(
      { socketPath: path, method: 'POST', path: '/api/hold', headers, timeout: patienceMs },
      (reply) => {
        let got = '';
        reply.setEncoding('utf8');
        reply.on('data', (chunk: string) => {
          got += chunk;
        });
        reply.on('error', () => resolve(null));
        reply.on('end', () => resolve(saidIn(got, reply.statusCode === 200)));
      },
    );
    close = () => void asking.destroy();
    asking.on('information', () => take(true));
    asking.on('error', () => resolve(null));
    asking.on('timeout', () => asking.destroy());
    asking.end(text);
  });
  void said.then((answer) => take(answer !== null));
  return { taken, said, close: () => close() };
}

function saidIn(text: string, isWell: boolean): DaemonSaid | null {
  try {
    const { line, message, outputs } = JSON.parse(text) as Record<string, unknown>;
    const words = typeof line === 'string' ? line : message;
    if (typeof words !== 'string') return null;
    return { isWell, line: words, outputs: Array.isArray(outputs) ? outputs.map(String) : [] };
  } catch {
    return null;
  }
}
