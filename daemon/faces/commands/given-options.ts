import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { Bed, Site } from '../../../calc/schedule/site.ts';
import { ActionRefused, knownBed as bedNamed } from '../../actions/action-context.ts';
import { bedIdOf } from '../../actions/bed-names.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import { type CommandLineKey, sayAtCommandLine } from '../../words/command-line.ts';
import type { MessageValues } from '../../words/message.ts';
import { CommandFailure } from './shell.ts';

/** What is wrong with an option: "--from: no day (got x); write it like 2026-07-01". */
export function wrongOption(
  option: string,
  key: CommandLineKey,
  values: MessageValues = {},
): CommandFailure {
  return new CommandFailure(2, `--${option}: ${sayAtCommandLine(key, values)}`);
}

/**
 * A text that a person must give with what they put down, such as their name or a reason.
 *
 * @param missing What is said where it is missing or blank.
 * @throws CommandFailure then.
 */
export function requiredText(
  option: string,
  text: string | undefined,
  missing: CommandLineKey,
): string {
  const given = text?.trim() ?? '';
  if (given === '') throw wrongOption(option, missing);
  return given;
}

/**
 * Checks what was asked for: a part of it that is wrong is an option that is wrong.
 *
 * @throws CommandFailure that names the option.
 */
export function asOption<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof ActionRefused) throw new CommandFailure(2, `--${error.message}`);
    throw error;
  }
}

/**
 * The bed that a person named.
 *
 * @throws CommandFailure that lists the beds when it is missing or unknown.
 */
export function knownBed(site: Site, id: string | undefined): Bed {
  return asOption(() => bedNamed(site, id === undefined ? id : bedIdOf(id, site.beds)));
}

/**
 * A calendar day of the site.
 *
 * @throws CommandFailure when it is none.
 */
export function dayGiven(option: string, text: string): SiteDay {
  const day = parseSiteDay(text);
  if (day === null) throw wrongOption(option, 'refused.no_day', { got: text });
  return day;
}

/** Days that a command goes over at most. */
const MOST_DAYS = 366;

/**
 * How many days are asked for.
 *
 * @throws CommandFailure when it is no number of days.
 */
export function daysGiven(text: string): number {
  return wholeGiven('days', text, MOST_DAYS);
}

/**
 * A whole number from 1.
 *
 * @throws CommandFailure when it is none, or beyond the most.
 */
export function wholeGiven(option: string, text: string, atMost: number): number {
  const number = Number(text);
  if (Number.isInteger(number) && number >= 1 && number <= atMost) return number;
  throw wrongOption(option, 'refused.bounds', { atLeast: 1, atMost, got: text });
}

/** "backup: needs --to FILE or --check FILE, one of them". */
export function needsOneOf(command: string, what: 'FILE' | 'FOLDER'): string {
  const [one, other] = [`--to ${what}`, `--check ${what}`];
  return sayAtCommandLine('refused.one_of', { command, one, other });
}
