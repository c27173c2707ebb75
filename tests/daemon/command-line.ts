import { runCli } from '../../daemon/faces/commands/cli.ts';
import type { Shell } from '../../daemon/faces/commands/shell.ts';
import type { Prompt } from '../../daemon/faces/interview/talk.ts';

/** What a command said and how it ended. */
export interface Said {
  code: 0 | 1 | 2;
  out: string;
  err: string;
}

/** Runs the command line in a folder at an instant, as a person without a terminal would. */
export async function dewbeat(
  args: readonly string[],
  given: {
    cwd: string;
    nowMs: number;
    answers?: string[];
    /** Asks the daemon to stop once it has said this; left out: at once. */
    stopOnceSaid?: string;
    prompt?: Prompt;
  },
): Promise<Said> {
  const out: string[] = [];
  const err: string[] = [];
  const answers = [...(given.answers ?? [])];
  let stops: (() => void)[] = [];
  const shell: Shell = {
    out(text) {
      out.push(text);
      if (given.stopOnceSaid === undefined || !text.includes(given.stopOnceSaid)) return;
      for (const stop of stops) stop();
      stops = [];
    },
    err: (text) => err.push(text),
    nowMs: () => given.nowMs,
    cwd: given.cwd,
    interactive: given.answers !== undefined || given.prompt !== undefined,
    ask: async () => answers.shift() ?? '',
    ...(given.prompt === undefined ? {} : { prompt: given.prompt }),
    onStop(stop) {
      if (given.stopOnceSaid === undefined) stop();
      else stops.push(stop);
    },
    onReload: () => undefined,
  };
  const code = await runCli(args, shell);
  return { code, out: out.join('\n'), err: err.join('\n') };
}
