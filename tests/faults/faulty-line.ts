import { connect, createServer, type Socket } from 'node:net';

/** A line between two programs that can be made to fail. */
export interface FaultyLine {
  port: number;
  /** Ends every connection as a program would. */
  drop(): number;
  /** Breaks every connection with a reset. */
  reset(): number;
  /** Nothing gets through, either way, and nobody is told; new connections hang as well. */
  stall(isStalled: boolean): void;
  /** New connections are broken at once. */
  refuse(isRefusing: boolean): void;
  stop(): Promise<void>;
}

/** Listens on a loopback port and passes everything on to another. */
export function faultyLine(toPort: number): Promise<FaultyLine> {
  const pairs = new Set<readonly [Socket, Socket]>();
  let isStalled = false;
  let isRefusing = false;
  const server = createServer((near) => {
    near.on('error', () => undefined);
    if (isRefusing) return void near.resetAndDestroy();
    const far = connect({ port: toPort, host: '127.0.0.1' });
    far.on('error', () => near.destroy());
    const pair = [near, far] as const;
    pairs.add(pair);
    near.on('close', () => {
      far.destroy();
      pairs.delete(pair);
    });
    far.on('close', () => near.destroy());
    near.on('data', (bytes) => void far.write(bytes));
    far.on('data', (bytes) => void near.write(bytes));
    if (isStalled) for (const one of pair) one.pause();
  });
  const each = (act: (socket: Socket) => void) => {
    const count = pairs.size;
    for (const pair of [...pairs]) for (const socket of pair) act(socket);
    return count;
  };
  return new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      resolve({
        port: typeof address === 'object' && address ? address.port : 0,
        drop: () => each((socket) => socket.destroy()),
        reset: () => each((socket) => socket.resetAndDestroy()),
        stall(is) {
          isStalled = is;
          each((socket) => (is ? socket.pause() : socket.resume()));
        },
        refuse(is) {
          isRefusing = is;
        },
        stop() {
          each((socket) => socket.destroy());
          return new Promise((done) => server.close(() => done()));
        },
      });
    });
  });
}
