import { parseArgs } from 'node:util';
import { disk } from './disk.ts';
import { fuzz } from './fuzz.ts';
import { inflow } from './inflow.ts';
import { killRun } from './kill.ts';
import { line } from './line.ts';
import { runs } from './runs.ts';
import { simulation } from './simulation/simulation.ts';
import { soak } from './soak.ts';
import { stop } from './stop/stop.ts';
import { thoughts } from './thoughts.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    histories: { type: 'string', default: '10000' },
    kills: { type: 'string', default: '300' },
    restarts: { type: 'string', default: '25' },
    seconds: { type: 'string', default: '60' },
    days: { type: 'string', default: '30' },
    previews: { type: 'string', default: '150' },
    inputs: { type: 'string', default: '100000' },
    'export-mb': { type: 'string', default: '400' },
    messages: { type: 'string', default: '30000' },
    seed: { type: 'string', default: '1' },
    only: { type: 'string' },
  },
});

interface Report {
  lines: string[];
  isGood: boolean;
}

/** Every long run, by the name under which `npm run test:faults -- NAME` runs it alone. */
const RUNS: Readonly<Record<string, () => Promise<Report>>> = {
  simulation: () =>
    simulation({
      histories: Number(values.histories),
      firstSeed: Number(values.seed),
      onHistory: (done) => {
        if (done % 500 === 0) process.stderr.write(`${done} histories\n`);
      },
    }),
  kill: () =>
    killRun({
      kills: Number(values.kills),
      seed: Number(values.seed),
      onKill: (done) => {
        if (done % 50 === 0) process.stderr.write(`${done} kills\n`);
      },
    }),
  disk,
  line: () => line({ seconds: Number(values.seconds), seed: Number(values.seed) }),
  runs: () =>
    runs({
      kills: Number(values.restarts),
      seed: Number(values.seed),
      onKill: (done) => {
        if (done % 10 === 0) process.stderr.write(`${done} kills\n`);
      },
    }),
  stop: () =>
    stop({
      only: values.only,
      onDone: (name) => process.stderr.write(`${name}\n`),
    }),
  inflow: () =>
    inflow({
      exportMb: Number(values['export-mb']),
      messages: Number(values.messages),
      watchedS: 61,
      ceilingMs: 2_000,
    }),
  thoughts: () => thoughts({ previews: Number(values.previews) }),
  fuzz: () => fuzz({ inputs: Number(values.inputs), seed: Number(values.seed) }),
  soak: () =>
    soak({
      days: Number(values.days),
      seed: Number(values.seed),
      onDay: (day) => {
        if (day % 5 === 0) process.stderr.write(`day ${day}\n`);
      },
    }),
};

const named = positionals.length > 0 ? positionals : Object.keys(RUNS);
for (const name of named) {
  const run = RUNS[name];
  if (run === undefined) {
    process.stderr.write(`${name}: no such run; there are ${Object.keys(RUNS).join(', ')}\n`);
    process.exitCode = 2;
    continue;
  }
  const beganMs = Date.now();
  const report = await run();
  process.stdout.write(`\n${name} (${Math.round((Date.now() - beganMs) / 1000)} s)\n`);
  for (const line of report.lines) process.stdout.write(`${line}\n`);
  if (!report.isGood) process.exitCode = 1;
}
