import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** What a run of tests came to; `late` is one that did not end in its time. */
export interface TestRun {
  outcome: 'green' | 'red' | 'late';
  /** The first file of tests that failed, where one is known. */
  noticedBy: string | null;
  /** How long each file of tests took. */
  tookMs: ReadonlyMap<string, number>;
}

/** A copy of the tree to change at will: the checkout itself is only read. */
export interface PrivateTree {
  write(file: string, text: string): void;
  restore(file: string): void;
  test(files: readonly string[], withinMs: number): Promise<TestRun>;
  remove(): void;
}

const COPIED = [
  ...['calc', 'adapters', 'daemon', 'tests', 'config-examples'],
  ...['package.json', 'tsconfig.json'],
];

export function makePrivateTree(root: string): PrivateTree {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-calc-mutants-'));
  for (const name of COPIED) cpSync(join(root, name), join(folder, name), { recursive: true });
  symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'));
  const write = (file: string, text: string) => writeFileSync(join(folder, file), text);
  return {
    write,
    restore: (file) => write(file, readFileSync(join(root, file), 'utf8')),
    test: (files, withinMs) => runTests(folder, files, withinMs),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

async function runTests(
  folder: string,
  files: readonly string[],
  withinMs: number,
): Promise<TestRun> {
  const report = join(folder, 'report.json');
  rmSync(report, { force: true });
  const child = spawn(
    process.execPath,
    [
      ...[
        'node_modules/vitest/vitest.mjs',
        'run',
        '--config',
        'tests/mutants/calc/vitest.config.ts',
      ],
      ...['--reporter=json', `--outputFile=${report}`],
    ],
    {
      cwd: folder,
      // A group of its own: the worker of a change that never ends has to end with its runner.
      detached: true,
      stdio: 'ignore',
      env: { ...process.env, MUTANTS_TESTS: files.join(' ') },
    },
  );
  const code = await endOf(child, withinMs);
  if (code === 'late') return { outcome: 'late', noticedBy: null, tookMs: new Map() };
  const { noticedBy, tookMs } = readReport(report, folder);
  return { outcome: code === 0 ? 'green' : 'red', noticedBy, tookMs };
}

function endOf(child: ChildProcess, withinMs: number): Promise<number | null | 'late'> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => {
      if (child.pid !== undefined) process.kill(-child.pid, 'SIGKILL');
      resolve('late');
    }, withinMs);
    child.on('error', reject);
    child.on('exit', (code) => {
      clearTimeout(timer);
      resolve(code);
    });
  });
}

interface Report {
  testResults: { name: string; status: string; startTime: number; endTime: number }[];
}

function readReport(path: string, folder: string): Pick<TestRun, 'noticedBy' | 'tookMs'> {
  const { testResults } = JSON.parse(readFileSync(path, 'utf8')) as Report;
  const named = testResults.map((result) => ({
    ...result,
    name: result.name.slice(folder.length + 1),
  }));
  return {
    noticedBy: named.find((result) => result.status === 'failed')?.name ?? null,
    tookMs: new Map(named.map(({ name, startTime, endTime }) => [name, endTime - startTime])),
  };
}
