import { connect, createServer, type Socket } from 'node:net';

/** A line to a port that can be cut hard or go silent, as a radio link in the field does. */
export interface CuttableLine {
  port: number;
  /** Breaks every connection without a goodbye; new ones are taken again. */
  cut(): void;
  /** While silent, nothing passes from the far end back, and nothing is refused. */
  silence(silent: boolean): void;
  close(): Promise<void>;
}

export function cuttableLine(toPort: number): Promise<CuttableLine> {
  const sockets = new Set<Socket>();
  let silent = false;
  const server = createServer((near) => {
    const far = connect({ port: toPort, host: '127.0.0.1' });
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', () => undefined);
      socket.on('close', () => {
        sockets.delete(socket);
        near.destroy();
        far.destroy();
      });
    }
    near.on('data', (bytes) => void (silent || far.write(bytes)));
    far.on('data', (bytes) => void (silent || near.write(bytes)));
  });
  const cut = () => {
    for (const socket of sockets) socket.destroy();
  };
  return new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      resolve({
        port: typeof address === 'object' && address ? address.port : 0,
        cut,
        silence: (now) => {
          silent = now;
        },
        close: () =>
          new Promise((closed) => {
            server.close(() => closed());
            cut();
          }),
      });
    });
  });
}
