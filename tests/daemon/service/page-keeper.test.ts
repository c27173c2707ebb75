import { createServer } from 'node:net';
import fastify from 'fastify';
import pino from 'pino';
import { expect, it, onTestFinished } from 'vitest';
import { keepPage } from '../../../daemon/service/page-keeper.ts';
import { fetchAlone } from '../../own-connection.ts';

it('goes on without a port that is taken, and serves once it is free', async () => {
  const other = createServer();
  await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve));
  const address = other.address();
  const port = typeof address === 'object' && address !== null ? address.port : 0;
  const lines: string[] = [];
  const log = pino({ level: 'info' }, { write: (line: string) => void lines.push(line) });
  const page = await keepPage(
    async () => {
      const app = fastify();
      app.get('/', async () => 'here');
      return app;
    },
    { address: '127.0.0.1', port },
    { log, tryAgainMs: 20 },
  );
  onTestFinished(() => page.stop());
  expect(page.url()).toBeNull();
  await new Promise((resolve) => setTimeout(resolve, 100));
  // One line however often it was tried.
  expect(lines.filter((line) => line.includes('EADDRINUSE'))).toHaveLength(1);
  await new Promise((resolve) => other.close(resolve));
  await expect.poll(() => page.url(), { timeout: 5_000 }).toBe(`http://127.0.0.1:${port}`);
  expect(page.port()).toBe(port);
  expect(await (await fetchAlone(`http://127.0.0.1:${port}/`)).text()).toBe('here');
  await page.stop();
  expect(page.url()).toBeNull();
  await expect(fetchAlone(`http://127.0.0.1:${port}/`)).rejects.toThrow();
});
