import type { Prompt } from '../interview/talk.ts';
import type { ScreenTerminal } from '../terminal/screen-terminal.ts';

/** What a command touches of the world: tests hand in their own. */
export interface Shell {
  out(text: string): void;
  err(text: string): void;
  nowMs(): number;
  /** Absolute folder that relative paths start from. */
  cwd: string;
  /** True when a person sits at the other end. */
  interactive: boolean;
  /** Asks the person a question and gives the answer's text. */
  ask(question: string): Promise<string>;
  /** Asks one question of the set-up; left out: there is nobody to ask. */
  prompt?: Prompt;
  /** Letters in a line of what is told; left out: nobody reads it in a terminal. */
  columns?: () => number;
  /** The terminal as a whole, for what is live; left out: there is none. */
  terminal?: () => Promise<ScreenTerminal>;
  /** Called once when the process is asked to end. */
  onStop(stop: () => void): void;
  /** Called each time the process is asked to read its config again. */
  onReload(reload: () => void): void;
}

/** Ends a command with an exit code and a text on the error output. */
export class CommandFailure extends Error {
  override name = 'CommandFailure';
  readonly exitCode: 1 | 2;

  /** @param exitCode 2 for wrong config or usage, 1 for a fault. */
  constructor(exitCode: 1 | 2, message: string) {
    super(message);
    this.exitCode = exitCode;
  }
}
