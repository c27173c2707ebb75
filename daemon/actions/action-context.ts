import type { Bed, Site } from '../../calc/schedule/site.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import { type MessageValues, type Say, sayIn, sayNamed } from '../words/language.ts';

/** What a person's act is done on: the command line and the page hand in the same. */
export interface ActionContext {
  db: Db;
  config: LoadedConfig;
  nowMs: number;
}

/**
 * An act that is refused: what is wrong with what was asked, and what to do. Nothing was done. Its message is
 * English; `sayRefused` says it to a person.
 */
export class ActionRefused extends Error {
  override name = 'ActionRefused';
  /** Which part of what was asked is wrong: `bed`, `until`, `why`. */
  readonly part: string;
  /** The message `refused.CODE` and its values; null: `message` is all there is. */
  readonly coded: { code: string; values: MessageValues } | null;

  constructor(
    part: string,
    message: string,
    coded: { code: string; values: MessageValues } | null = null,
  ) {
    super(`${part}: ${message}`);
    this.part = part;
    this.coded = coded;
  }
}

/** A refusal by its code: the message `refused.CODE`. */
export function refuse(part: string, code: string, values: MessageValues = {}): ActionRefused {
  const coded = { code, values };
  return new ActionRefused(part, refusedWords(coded, sayIn('en')), coded);
}

/** A refusal in a person's words. */
export function sayRefused({ part, coded, message }: ActionRefused, say: Say): string {
  return coded === null ? message : `${part}: ${refusedWords(coded, say)}`;
}

function refusedWords({ code, values }: { code: string; values: MessageValues }, say: Say): string {
  return sayNamed(say, `refused.${code}`, values) ?? code;
}

/**
 * The bed that a person named.
 * @throws ActionRefused that lists the beds when it is missing or unknown.
 */
export function knownBed(site: Site, id: string | undefined): Bed {
  const bed = site.beds.find((one) => one.id === id);
  if (bed !== undefined) return bed;
  const beds = site.beds.map((one) => one.id).join(', ');
  throw id === undefined
    ? refuse('bed', 'bed_missing', { beds })
    : refuse('bed', 'bed_unknown', { beds, got: id });
}

/** Beds that a person named, each once. */
export function knownBeds(site: Site, ids: readonly string[]): Bed[] {
  if (ids.length === 0) knownBed(site, undefined);
  return [...new Set(ids)].map((id) => knownBed(site, id));
}

/**
 * A text that a person must give, such as a reason, without blanks around it.
 * @param ask Names the message `refused.CODE` that says what is asked for.
 */
export function requiredText(
  part: string,
  text: string,
  { ask, atMost }: { ask: string; atMost: number },
): string {
  const given = text.trim();
  if (given === '') throw refuse(part, ask);
  if (given.length > atMost) throw refuse(part, 'too_long', { got: given.length, atMost });
  return given;
}
