import type { Command } from 'commander';
import { LEAST_PIN, pinHash } from '../../site/config/pin-hash.ts';
import { CommandFailure, type Shell } from './shell.ts';

/** `dewbeat pin`: makes the hash of a PIN for `page.people` of the config. */
export function addPin(program: Command, shell: Shell): void {
  program
    .command('pin')
    .description('make the hash of a PIN, for a person under page.people of the config')
    .addHelpText(
      'after',
      '\nIt asks for the PIN at the terminal, so that it stands in no history of commands.\n\nExample:\n  $ dewbeat pin',
    )
    .action(async () => {
      if (!shell.interactive) {
        throw new CommandFailure(2, 'pin: asks at a terminal (got none); run it in one');
      }
      const pin = (await shell.ask(`PIN, ${LEAST_PIN} characters or more: `)).trim();
      const again = (await shell.ask('The same again: ')).trim();
      if (pin !== again) throw new CommandFailure(2, 'PIN: the two differ; nothing was made');
      let hash: string;
      try {
        hash = await pinHash(pin);
      } catch (error) {
        if (error instanceof RangeError) throw new CommandFailure(2, error.message);
        throw error;
      }
      shell.out('Put this line under the person in page.people, in quotes:');
      shell.out(`pin: "${hash}"`);
    });
}
