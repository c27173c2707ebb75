import type { Command } from 'commander';
import { sayIn } from '../../words/language.ts';
import { addActionCommand } from './act-command.ts';
import type { Shell } from './shell.ts';
import { stopLines } from './stop-lines.ts';

/** `dewbeat release`: alone, where water is stopped. */
export function addRelease(program: Command, shell: Shell): void {
  addActionCommand(program, shell, 'release', {
    isPlanItself: true,
    async alone({ db, config }, { nowMs }) {
      const lines = await stopLines(db, config, nowMs);
      return lines.length === 0 ? sayIn('en')('act.release.nothing') : lines.join('\n');
    },
  });
}
