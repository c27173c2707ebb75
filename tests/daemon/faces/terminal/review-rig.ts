import { onTestFinished } from 'vitest';
import { runCli } from '../../../../daemon/faces/commands/cli.ts';
import type { ScreenTerminal } from '../../../../daemon/faces/terminal/screen-terminal.ts';

/** A person at a terminal that shows what the review writes. */
export interface ReviewRig {
  /** What the terminal shows. */
  screen(): string;
  send(text: string): void;
  /** Resolves once the terminal shows it. */
  shows(text: string | RegExp): Promise<void>;
  resize(width: number, height: number): void;
  /** Asks the process to end, as a signal would. */
  stop(): void;
  /** How it ended, once it has. */
  ended: Promise<{ code: 0 | 1 | 2; err: string }>;
  /** Times that the terminal was taken over and put back. */
  opened: number;
  restored: number;
  /** Has the next writes to the terminal fail. */
  breaks(): void;
  written: string[];
}

const PATIENCE_MS = 15_000;
const ESC = '\x1b';

/** Runs `dewbeat review` in a folder at an instant; keys are sent by the test. */
export function reviewRig(
  args: readonly string[],
  given: { cwd: string; nowMs: () => number; width?: number; height?: number },
): ReviewRig {
  const size = { width: given.width ?? 80, height: given.height ?? 24 };
  let rows: string[] = [];
  let on: Parameters<ScreenTerminal['open']>[0] | null = null;
  let stop = () => {};
  let isBroken = false;
  const written: string[] = [];
  const terminal: ScreenTerminal = {
    size: () => ({ ...size }),
    colour: false,
    write(text) {
      if (isBroken) throw new Error('invented: the terminal is broken');
      written.push(text);
      rows = shown(rows, text, size.height);
    },
    open(asked) {
      rig.opened++;
      on = asked;
      return () => {
        rig.restored++;
      };
    },
  };
  const err: string[] = [];
  const rig: ReviewRig = {
    screen: () => rows.join('\n'),
    send: (text) => on?.sent(text),
    async shows(text) {
      const untilMs = Date.now() + PATIENCE_MS;
      while (Date.now() < untilMs) {
        const all = rows.join('\n');
        if (typeof text === 'string' ? all.includes(text) : text.test(all)) return;
        await new Promise((resolve) => setTimeout(resolve, 20));
      }
      throw new Error(`the terminal never showed ${String(text)}, but\n${rows.join('\n')}`);
    },
    resize(width, height) {
      Object.assign(size, { width, height });
      on?.resized();
    },
    stop: () => stop(),
    ended: Promise.resolve({ code: 0, err: '' }),
    opened: 0,
    restored: 0,
    breaks() {
      isBroken = true;
    },
    written,
  };
  rig.ended = runCli(['review', ...args], {
    out: () => undefined,
    err: (text) => void err.push(text),
    nowMs: given.nowMs,
    cwd: given.cwd,
    interactive: true,
    ask: async () => '',
    terminal: async () => terminal,
    onStop: (ask) => {
      stop = ask;
    },
    onReload: () => undefined,
  }).then((code) => ({ code, err: err.join('\n') }));
  onTestFinished(async () => {
    isBroken = false;
    stop();
    await rig.ended;
  });
  return rig;
}

/** The rows after a write: a cursor's place, a text, the rest of the row cleared. */
function shown(rows: readonly string[], text: string, height: number): string[] {
  const next = text.includes(`${ESC}[2J`) ? Array.from({ length: height }, () => '') : [...rows];
  for (const piece of text.split(`${ESC}[K`)) {
    const at = piece.lastIndexOf(';1H');
    if (at === -1) continue;
    const row = Number(piece.slice(piece.lastIndexOf('[', at) + 1, at));
    next[row - 1] = piece.slice(at + 3);
  }
  return next;
}
