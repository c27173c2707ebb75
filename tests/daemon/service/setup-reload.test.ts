import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { fetchAlone } from '../../own-connection.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { startBuilt } from './built-program.ts';

const EXAMPLE = new URL('../../../config-examples/minimal.yaml', import.meta.url);

describe('a config written at the page', () => {
  it('is taken up by the running daemon, which stays at its port', async () => {
    const cwd = scratchFolder();
    const file = join(cwd, 'dewbeat.yaml');
    // Its morning has come whatever the hour is at which the test runs.
    const morning = 'morning: { at: "00:00" }';
    writeFileSync(file, `${readFileSync(EXAMPLE, 'utf8')}\n${morning}\npage: { port: 0 } # any\n`);
    const program = startBuilt(['run', '-c', 'dewbeat.yaml'], { cwd });
    await program.saying(/serving reed-hollow, http:\S+?:\d+/);
    const [, url = ''] = /serving reed-hollow, (http:\/\/[\d.:]+)/.exec(program.said()) ?? [];
    const post = async (path: string, body: unknown) => {
      const headers = { 'content-type': 'application/json', 'x-dewbeat': '1' };
      const response = await fetchAlone(url + path, {
        method: 'POST',
        headers,
        body: JSON.stringify(body),
      });
      return (await response.json()) as { digest?: string; reloads?: boolean };
    };
    // Nothing is read again before all jobs stand.
    await program.saying('morning plan made');
    const answers = { supply: { pump_flow: '210,5 gpm' } };
    const { digest } = await post('/api/setup/check', { answers });
    expect(await post('/api/setup/write', { digest, who: 'A. Keeper' })).toMatchObject({
      reloads: true,
    });
    await program.saying('config read again: it is sound');
    // While the daemon starts again its page is away, or says that it is busy.
    const shownFlow = async (): Promise<unknown> => {
      try {
        const body = (await (await fetchAlone(`${url}/api/setup`)).json()) as {
          fields?: { pumpFlow: string };
        };
        return body.fields?.pumpFlow;
      } catch {
        return null;
      }
    };
    await expect.poll(shownFlow, { timeout: 20_000 }).toBe('210.5 gpm');
    expect(readFileSync(file, 'utf8')).toContain('page: { port: 0 } # any');
    program.signal('SIGTERM');
    expect(await program.ended()).not.toBe(1);
  });
});
