import { ActRefused } from '../acts/act-context.ts';
import { type Deed, keepDeed } from '../acts/deed.ts';
import { CommandFailure, type Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';

/**
 * Does what a person asked for at the command line and says what was done.
 * @throws CommandFailure, exit code 2, that names the option at fault.
 */
export function doDeed(session: SiteSession, shell: Shell, deedOf: () => Deed): Deed {
  const deed = asked(deedOf);
  for (const line of keepDeed(session, deed)) shell.out(line);
  return deed;
}

/** Checks what was asked for; a part of it that is wrong is an option that is wrong. */
export function asked<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof ActRefused) throw new CommandFailure(2, `--${error.message}`);
    throw error;
  }
}
