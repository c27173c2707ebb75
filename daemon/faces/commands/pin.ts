import type { Command } from 'commander';
import { LEAST_PIN, pinHash } from '../../site/config/pin-hash.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { CommandFailure, type Shell } from './shell.ts';

/** `dewbeat pin`: makes the hash of a PIN for `page.people` of the config. */
export function addPin(program: Command, shell: Shell): void {
  program
    .command('pin')
    .description(whatItDoes('pin'))
    .addHelpText('after', helpAfter('pin'))
    .action(async () => {
      if (!shell.interactive) {
        throw new CommandFailure(2, say('pin.no_terminal'));
      }
      const pin = (await shell.ask(say('pin.ask', { least: LEAST_PIN }))).trim();
      const again = (await shell.ask(say('pin.again'))).trim();
      if (pin !== again) throw new CommandFailure(2, say('pin.differ'));
      let hash: string;
      try {
        hash = await pinHash(pin);
      } catch (error) {
        if (error instanceof RangeError) throw new CommandFailure(2, error.message);
        throw error;
      }
      shell.out(say('pin.put'));
      shell.out(`pin: "${hash}"`);
    });
}
