const ESC = '\x1b[';
/** The other screen, no cursor, no wrapping, pasted text marked as such. */
const ENTER = `${ESC}?1049h${ESC}?25l${ESC}?7l${ESC}?2004h`;
const RESTORE = `${ESC}?2026l${ESC}0m${ESC}?2004l${ESC}?7h${ESC}?25h${ESC}?1049l`;

/** A terminal that a person sits at, taken over as a whole. Tests hand in their own. */
export interface ScreenTerminal {
  size(): { width: number; height: number };
  /** Whether colour may be used; nothing rests on it. */
  colour: boolean;
  write(text: string): void;
  /** Takes it over; gives what puts it back as it was, which may be called twice. */
  open(on: { sent(text: string): void; resized(): void; lost(): void }): () => void;
}

/** The process's own terminal. It is put back even where the process ends by a fault. */
export function processTerminal(
  input: NodeJS.ReadStream,
  output: NodeJS.WriteStream,
  environment: NodeJS.ProcessEnv,
): ScreenTerminal {
  return {
    size: () => ({ width: output.columns || 80, height: output.rows || 24 }),
    colour: mayColour(environment),
    write: (text) => output.write(text),
    open({ sent, resized, lost }) {
      let isOpen = true;
      const restore = () => {
        if (!isOpen) return;
        isOpen = false;
        process.off('exit', restore);
        input.off('data', sent).off('end', lost).off('error', lost);
        output.off('resize', resized);
        try {
          input.setRawMode(false);
          output.write(RESTORE);
        } catch {
          // The terminal is gone: there is nothing to put back.
        }
        input.pause();
      };
      process.on('exit', restore);
      input.setEncoding('utf8');
      input.setRawMode(true);
      input.on('data', sent).on('end', lost).on('error', lost);
      output.on('resize', resized);
      input.resume();
      output.write(ENTER);
      return restore;
    },
  };
}

/** After no-color.org: any value but an empty one means none. */
function mayColour(environment: NodeJS.ProcessEnv): boolean {
  const { NO_COLOR: noColour, TERM: term } = environment;
  return (noColour === undefined || noColour === '') && term !== 'dumb';
}
