import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { cautionsFor } from '../../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

const EXAMPLE = fileURLToPath(new URL('../../../../config-examples/minimal.yaml', import.meta.url));
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

describe('a confirm while no broker can be reached', () => {
  it('says that the receiver does not have it, and ends as a fault', async () => {
    const cwd = scratchFolder();
    // Nothing listens on the port of the discard service here.
    const output = '  - { output: mqtt, url: "mqtt://127.0.0.1:9", prefix: invented }\n';
    const text = readFileSync(EXAMPLE, 'utf8').replace('outputs:\n', `outputs:\n${output}`);
    writeFileSync(join(cwd, 'dewbeat.yaml'), text);
    expect((await dewbeat(['plan'], { cwd, nowMs: NOW_MS })).code).toBe(0);
    const db = openDatabase(join(cwd, 'dewbeat-data', 'minimal'));
    const stored = newestPlan(db);
    db.close();
    if (stored === null) throw new Error('there is no plan');
    const { plan, digest } = stored;
    const cautions = cautionsFor(plan).map(({ code }) => code);
    const named = ['--revision', `${plan.revision}`, '--digest', digest, '--who', 'A. Keeper'];
    const said = await dewbeat(['confirm', ...named, '--caution', ...cautions], {
      cwd,
      nowMs: NOW_MS,
    });
    expect(said.code).toBe(1);
    expect(said.err).toContain('confirmed, and not every output has it');
    const lines = said.out.split('\n');
    expect(lines[0]).toMatch(/^Confirmed: plan 1/);
    // At once, before any output was asked.
    expect(lines[1]).toBe('No receiver has it yet: it goes to mqtt, file now.');
    expect(lines.find((line) => line.startsWith('file: '))).toMatch(/^file: accepted/);
    expect(lines.find((line) => line.startsWith('mqtt: '))).toMatch(
      /^mqtt: NOT TAKEN, as far as anyone knows the receiver does not have it yet \(/,
    );
  });
});
