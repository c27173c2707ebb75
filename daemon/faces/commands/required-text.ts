import { CommandFailure } from './shell.ts';

/**
 * A text that a person must give with what they put down, such as their name or a reason.
 * @throws CommandFailure when it is missing or blank.
 */
export function requiredText(option: string, text: string | undefined, ask: string): string {
  const given = text?.trim() ?? '';
  if (given === '') throw new CommandFailure(2, `${option}: is missing; ${ask}`);
  return given;
}
