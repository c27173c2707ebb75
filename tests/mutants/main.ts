import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { setPriority, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { isCalcNoticed } from './calc/sample-calc.ts';
import { ROOMS } from './rooms.ts';

/**
 * Changes the code of a room in one small way after the other and runs its tests each time: a change
 * that no test notices is a test that is missing. Room by room, every one unless some are named;
 * `--files` looks at some files of a room alone. Fails where fewer than nine in ten are noticed.
 * `calc` has numbers, and far more places than a day can run: a sample of it is looked at, as many
 * as `--sample` says, picked by `--seed`, and eight in ten have to be noticed.
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    files: { type: 'string' },
    sample: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
  },
});
const CALC = 'calc';
const known = [...Object.keys(ROOMS), CALC];
const asked = positionals.length > 0 ? positionals : known;
const strange = asked.filter((name) => !known.includes(name));
if (strange.length > 0) {
  process.stderr.write(
    `test:mutants: is no room (got ${strange.join(', ')}); name some of ${known.join(', ')}\n`,
  );
  process.exit(2);
}

const sample = Number(values.sample);
const seed = Number(values.seed);
if (!Number.isInteger(sample) || sample < 1 || !Number.isInteger(seed)) {
  process.stderr.write(
    `test:mutants: --sample and --seed are whole numbers, a sample is at least 1 (got ${values.sample}, ${values.seed})\n`,
  );
  process.exit(2);
}

// Thousands of small databases: where memory serves as a disk, they lie there.
const memory = '/dev/shm';
const folder = mkdtempSync(join(existsSync(memory) ? memory : tmpdir(), 'dewbeat-mutants-'));
setPriority(10);

function isNoticed(room: string): boolean {
  process.stdout.write(`\n== ${room}\n`);
  const files = values.files ?? ROOMS[room]?.mutate.join(' ') ?? '';
  const stryker = 'node_modules/@stryker-mutator/core/bin/stryker.js';
  const { status } = spawnSync(
    process.execPath,
    [stryker, 'run', 'tests/mutants/stryker.config.mjs'],
    {
      stdio: 'inherit',
      env: { ...process.env, MUTANTS_ROOM: room, MUTANTS_FILES: files, TMPDIR: folder },
    },
  );
  return status === 0;
}

const failed: string[] = [];
for (const room of asked) {
  const noticed = room === CALC ? await isCalcNoticed({ sample, seed }) : isNoticed(room);
  if (!noticed) failed.push(room);
}
rmSync(folder, { recursive: true, force: true });
if (failed.length > 0) {
  process.stderr.write(`test:mutants: too little is noticed in ${failed.join(', ')}\n`);
  process.exit(1);
}
