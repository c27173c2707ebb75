#!/usr/bin/env node
import { runCli } from './faces/commands/cli.ts';
import type { ScreenTerminal } from './faces/terminal/screen-terminal.ts';
import { terminalSafe } from './words/safe-text.ts';

let stops: (() => void)[] = [];
let asked = false;
/** Puts the terminal back where a command has taken it over. */
let restoreTerminal = () => {};

/**
 * Ends the process whatever is under way. `process.exit` would wait for a read from a share that
 * has gone away; a signal that nobody handles waits for nothing, and service managers count it as
 * an end in order.
 */
function end(): void {
  restoreTerminal();
  process.removeAllListeners('SIGTERM');
  process.kill(process.pid, 'SIGTERM');
}

async function openTerminal(): Promise<ScreenTerminal> {
  const { processTerminal } = await import('./faces/terminal/screen-terminal.ts');
  const terminal = processTerminal(process.stdin, process.stdout, process.env);
  return {
    ...terminal,
    open(on) {
      restoreTerminal = terminal.open(on);
      return restoreTerminal;
    },
  };
}

// The first signal drains, the second interrupts.
for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.on(signal, () => {
    if (asked) return end();
    if (stops.length === 0) process.exit(1);
    asked = true;
    for (const stop of stops) stop();
    stops = [];
  });
}

// A reader that has seen enough (`dewbeat show | head`) is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

const isTerminal = process.stdin.isTTY === true && process.stdout.isTTY === true;

process.exitCode = await runCli(process.argv.slice(2), {
  out: (text) => process.stdout.write(`${terminalSafe(text)}\n`),
  err: (text) => process.stderr.write(`${terminalSafe(text)}\n`),
  nowMs: Date.now,
  cwd: process.cwd(),
  interactive: isTerminal,
  ...(process.stdout.isTTY === true ? { columns: () => process.stdout.columns || 80 } : {}),
  ...(isTerminal ? { terminal: openTerminal } : {}),
  async ask(question) {
    const { createInterface } = await import('node:readline/promises');
    const lines = createInterface({ input: process.stdin, output: process.stdout });
    try {
      return await lines.question(terminalSafe(question));
    } finally {
      lines.close();
    }
  },
  prompt: async (question) =>
    (await import('./faces/commands/terminal-prompt.ts')).terminalPrompt(question),
  onStop: (stop) => stops.push(stop),
  onReload: (reload) => process.on('SIGHUP', reload),
});

// An output that hangs would keep the process up after the daemon has stopped in order.
if (asked) setTimeout(end, 500).unref();
