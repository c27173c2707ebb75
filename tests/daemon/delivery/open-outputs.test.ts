import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import {
  type OpenOutput,
  openHere,
  openInThread,
  openOutputs,
} from '../../../daemon/delivery/open-outputs.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE } from '../../example-plan.ts';
import { scratchFolder } from '../../scratch-site.ts';

const quiet = { info: () => {}, warn: () => {}, error: () => {} };
const hooks = { now: () => EXAMPLE_MADE_AT_MS, log: quiet, report: () => {} };

function configIn(baseFolder: string, outputs: object[]): LoadedConfig {
  return {
    site: { id: 'example-site', limits: { stationsAtOnce: 4 } },
    zone: EXAMPLE_ZONE,
    clock: siteClock(EXAMPLE_ZONE),
    units: 'metric',
    baseFolder,
    outputs,
  } as unknown as LoadedConfig;
}
const file = (name: string) => ({
  output: 'file' as const,
  name,
  folder: name,
  takes_changes: true,
  readable_by: 'owner' as const,
  language: 'en' as const,
});

describe('openOutputs', () => {
  it('makes each by its name, with the facts of the config and what it was given', async () => {
    const config = configIn('.', [file('one'), file('two')]);
    const opened: unknown[][] = [];
    const open: OpenOutput = async (...given) => {
      opened.push(given);
      return openHere(...given);
    };
    const outputs = await openOutputs(config, hooks, open);
    expect([...outputs.keys()]).toEqual(['one', 'two']);
    expect(outputs.get('two')?.name).toBe('two');
    expect(opened).toEqual([
      [file('one'), config, hooks],
      [file('two'), config, hooks],
    ]);
  });

  it('makes outputs that can be stopped, here where nobody says otherwise', async () => {
    const folder = scratchFolder();
    const outputs = await openOutputs(configIn(folder, [file('one')]), hooks);
    const stop = { who: 'B. Mower', why: 'leak', beds: 'all' as const, atMs: EXAMPLE_MADE_AT_MS };
    const answer = await outputs.get('one')?.stopNow({ ...stop, stopNo: 1 });
    expect(answer).toEqual({ kind: 'accepted', detail: 'written to one' });
    const order = JSON.parse(readFileSync(join(folder, 'one', 'plan.json'), 'utf8'));
    expect(order).toMatchObject({ site_id: 'example-site', site_day: '2026-07-01' });
  });

  it('gives an output no runs to send where nobody remembers them', async () => {
    const runs = { output: 'mqtt' as const, name: 'valves', mode: 'runs' as const };
    const mqtt = {
      ...runs,
      url: 'mqtt://127.0.0.1:1',
      protocol: '5' as const,
      takes_changes: true,
      late_tolerance: 20,
      prefix: 'dewbeat',
      timeout: 1,
      retry: 1,
    };
    const asked: string[] = [];
    const runMemory = (output: string) => {
      asked.push(output);
      return { has: () => true, add: () => {}, standing: () => null };
    };
    await openHere(mqtt, configIn('.', []), hooks);
    expect(asked).toEqual([]);
    await openHere(mqtt, configIn('.', []), { ...hooks, runMemory });
    expect(asked).toEqual(['valves']);
    await openInThread(mqtt, configIn('.', []), { ...hooks, runMemory });
    expect(asked).toEqual(['valves', 'valves']);
  });

  it('makes one for a thread where the program was built, which is not begun yet', async () => {
    vi.doMock('../../../daemon/delivery/thread-entry.ts', async (original) => ({
      ...(await original<object>()),
      isWritten: () => false,
    }));
    vi.resetModules();
    onTestFinished(() => {
      vi.doUnmock('../../../daemon/delivery/thread-entry.ts');
      vi.resetModules();
    });
    const built = await import('../../../daemon/delivery/open-outputs.ts');
    const asked: string[] = [];
    const runMemory = (output: string) => {
      asked.push(output);
      return { has: () => true, add: () => {}, standing: () => null };
    };
    const output = await built.openInThread(file('one'), configIn('.', []), hooks);
    expect(output.name).toBe('one');
    expect(output.health()).toEqual({ ok: false, detail: 'the output is not started' });
    expect('listenOn' in output).toBe(true);
    await built.openInThread(file('two'), configIn('.', []), { ...hooks, runMemory });
    expect(asked).toEqual(['two']);
  });

  it('makes one here where it runs as it is written', async () => {
    const output = await openInThread(file('one'), configIn('.', []), hooks);
    expect('listenOn' in output).toBe(false);
    expect(output.health().detail).toBe('nothing written to one yet');
  });
});
