import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { line, median } from './timing.ts';

const MAIN = fileURLToPath(new URL('../../dist/daemon/main.js', import.meta.url));

/** Start-up of a command, and what the daemon takes at rest: the built program, as people run it. */
export async function benchProcess(print: (text: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-bench-'));
  try {
    const daemon = spawn(process.execPath, [MAIN, 'run'], { cwd: folder, stdio: 'pipe' });
    try {
      await saying(daemon.stdout, 'The daemon stays up');
      const shows = Array.from({ length: 7 }, () => {
        const start = performance.now();
        const { status, stderr } = spawnSync(process.execPath, [MAIN, 'show'], { cwd: folder });
        if (status !== 0) throw new Error(`show failed: ${stderr}`);
        return performance.now() - start;
      });
      print(
        line('dewbeat show, start to end, median of 7', `${median(shows).toFixed(0)} ms`, '400 ms'),
      );
      await new Promise((resolve) => setTimeout(resolve, 5_000));
      const pid = daemon.pid ?? 0;
      print(line('daemon at rest, resident', residentText(pid), '150 MB'));
      // It is there since the first plan, and goes when nothing has been asked for a while.
      for (const beside of childrenOf(pid)) {
        print(line('what works plans out beside it, resident', residentText(beside), '130 MB'));
      }
    } finally {
      daemon.kill('SIGTERM');
      await new Promise((resolve) => daemon.once('exit', resolve));
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Resident memory of a process. */
function residentText(pid: number): string {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  const kb = Number(/VmRSS:\s+(\d+)/.exec(status)?.[1] ?? Number.NaN);
  return `${(kb / 1024).toFixed(0)} MB`;
}

function childrenOf(pid: number): number[] {
  const text = readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim();
  return text === '' ? [] : text.split(' ').map(Number);
}

function saying(stream: NodeJS.ReadableStream, words: string): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = '';
    const late = setTimeout(() => reject(new Error(`not said in 60 s: ${words}\n${said}`)), 60_000);
    stream.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      if (!said.includes(words)) return;
      clearTimeout(late);
      resolve();
    });
  });
}
