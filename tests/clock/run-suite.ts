import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const VITEST = join(ROOT, 'node_modules', 'vitest', 'vitest.mjs');

/** A run that takes longer than this hangs. */
const LONGEST_MS = 60 * 60_000;

/** What became of the tests of one run. */
export interface SuiteResult {
  passed: number;
  failed: number;
  /** Left out for want of a program, or on purpose. */
  skipped: number;
  /** For each failure its file, its name and the first line of what it says. */
  failures: string[];
}

interface VitestReport {
  numPassedTests: number;
  numPendingTests: number;
  testResults: {
    name: string;
    status: string;
    message: string;
    assertionResults: { fullName: string; status: string; failureMessages: string[] }[];
  }[];
}

/** Runs the tests, or those files of them, in an environment; it ends within an hour. */
export async function runSuite(
  env: NodeJS.ProcessEnv,
  files: readonly string[],
): Promise<SuiteResult> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-clock-'));
  try {
    const report = join(folder, 'report.json');
    const args = ['run', '--config', 'tests/vitest.config.ts', '--reporter=json'];
    const child = spawn(process.execPath, [VITEST, ...args, `--outputFile=${report}`, ...files], {
      cwd: ROOT,
      env,
      stdio: ['ignore', 'pipe', 'pipe'],
      timeout: LONGEST_MS,
    });
    let said = '';
    for (const stream of [child.stdout, child.stderr]) {
      stream.on('data', (chunk: Buffer) => {
        said += chunk.toString();
      });
    }
    const code = await new Promise<number | null>((resolve, reject) => {
      child.once('error', reject);
      child.once('close', resolve);
    });
    const result = read(report);
    // What no single test answers for: nothing ran, an error beside the tests, a run cut off.
    if (result.passed + result.failed === 0 || (code !== 0 && result.failures.length === 0)) {
      result.failures.push(`the run itself (exit code ${code}): ${said.trim().slice(-2_000)}`);
    }
    return result;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function read(file: string): SuiteResult {
  let report: VitestReport;
  try {
    report = JSON.parse(readFileSync(file, 'utf8')) as VitestReport;
  } catch {
    return { passed: 0, failed: 0, skipped: 0, failures: [] };
  }
  const failures = report.testResults.flatMap(({ name, status, message, assertionResults }) => {
    const path = relative(ROOT, name);
    const failed = assertionResults
      .filter((test) => test.status === 'failed')
      .map((test) => `${path}: ${test.fullName}\n    ${firstLine(test.failureMessages[0])}`);
    const isWholeFile = status === 'failed' && failed.length === 0;
    return isWholeFile ? [`${path}\n    ${firstLine(message)}`] : failed;
  });
  return {
    passed: report.numPassedTests,
    failed: failures.length,
    skipped: report.numPendingTests,
    failures,
  };
}

function firstLine(text: string | undefined): string {
  return text?.trim().split('\n')[0]?.slice(0, 300) ?? '';
}
