import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import type { FileCalls } from '../../../adapters/outputs/replace-files.ts';
import { conformance } from './conformance.ts';
import { contextForTest } from './output-context.ts';

conformance('file', async () => {
  const base = await files.mkdtemp(join(tmpdir(), 'dewbeat-rig-'));
  const folder = join(base, 'out');
  const effects: string[] = [];
  const calls: FileCalls = {
    ...files,
    rename: async (from, to) => {
      await files.rename(from, to);
      if (basename(String(to)) !== 'plan.json') return;
      effects.push((JSON.parse(await files.readFile(to, 'utf8')) as OrderPayload).order_id);
    },
  };
  const test = contextForTest({ baseFolder: base });
  const config = fileOutputSchema.parse({ output: 'file', folder: 'out' });
  return {
    output: createFileOutput(config, test.context, calls),
    test,
    standing: async () => {
      const text = await files.readFile(join(folder, 'plan.json'), 'utf8').catch(() => null);
      return text === null ? null : (JSON.parse(text) as OrderPayload);
    },
    effects: () => Promise.resolve(effects),
    setAway: (away) => (away ? files.writeFile(folder, 'a file in the way') : files.rm(folder)),
    close: () => files.rm(base, { recursive: true, force: true }),
  };
});
