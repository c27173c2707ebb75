import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { onTestFinished } from 'vitest';

/** A server on this machine that answers as a test tells it to. */
export interface JsonServer {
  url: string;
  /** What came, oldest first. */
  asked: IncomingMessage[];
  answer(with_: (response: ServerResponse) => void): void;
  close(): Promise<void>;
}

export async function jsonServer(): Promise<JsonServer> {
  const asked: IncomingMessage[] = [];
  let answering: (response: ServerResponse) => void = (response) => response.end('{}');
  const server = createServer((request, response) => {
    asked.push(request);
    answering(response);
  });
  await new Promise<void>((resolve) => {
    server.listen(0, '127.0.0.1', resolve);
  });
  const close = () =>
    new Promise<void>((resolve) => {
      server.close(() => resolve());
      server.closeAllConnections();
    });
  onTestFinished(close);
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/hourly.json`,
    asked,
    answer: (next) => {
      answering = next;
    },
    close,
  };
}
