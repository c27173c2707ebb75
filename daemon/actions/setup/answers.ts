import { parseDocument } from 'yaml';
import { z } from 'zod';
import { readQuantity } from '../../../adapters/quantity.ts';
import {
  isMap,
  REQUEST_BOUNDS,
  readText,
  tooMuch,
  yamlTooMuch,
} from '../../site/config/bounded-input.ts';
import { check } from '../../site/config/issue-problems.ts';
import { pathOf } from '../../site/config/problems.ts';
import { isZone } from '../../site/time/site-clock.ts';
import { readPosition } from './position.ts';
import type { TrialPlace } from './try-weather.ts';

/** A part of the answers as it was typed; the config's own schemas judge it. */
const part = z.record(z.string(), z.unknown());
/** Entries, or a table as it was typed or pasted. */
const entries = z.union([z.array(part), z.string()], {
  error: 'is neither a list nor the text of a table; give one of them',
});

const answeredPerson = z.strictObject({
  name: z.string().max(60),
  role: z.string().optional(),
  /** As a person types it; only its hash is ever written. */
  pin: z.string().optional(),
  /** Environment variable that holds the PIN. */
  pin_env: z.string().optional(),
});

/**
 * What a person answers at the set-up, in the words and keys of the config. What is left out stays as
 * it is in the file; null takes a key out. Two things are easier than in the config: coordinates in
 * one line (`position`), and tables as text.
 */
export const answersSchema = z.strictObject({
  site: part.optional(),
  units: z.string().optional(),
  data_folder: z.string().optional(),
  morning: part.optional(),
  weather: z.union([part, z.array(part)]).optional(),
  outputs: z.array(part).max(50).optional(),
  supply: part.optional(),
  rules: part.optional(),
  sands: part.optional(),
  beds: entries.optional(),
  stations: entries.optional(),
  page: part.optional(),
  people: z.array(answeredPerson).max(200).optional(),
});

export type SetupAnswers = z.output<typeof answersSchema>;
export type AnsweredPerson = z.output<typeof answeredPerson>;

/** The plain value of a config's YAML, sound or not. */
export interface RawConfig {
  site?: unknown;
  units?: unknown;
  data_folder?: unknown;
  weather?: unknown;
  outputs?: unknown;
  supply?: unknown;
  sands?: unknown;
  beds?: unknown;
  stations?: unknown;
  page?: unknown;
  [key: string]: unknown;
}

/** Answers from a file, or everything that is wrong with its form. */
type AnswersReading = { ok: true; answers: SetupAnswers } | { ok: false; message: string };

/** Reads prepared answers, YAML or JSON (which is YAML too). */
export function readAnswers(path: string): AnswersReading {
  const text = readText(path);
  if (!text.ok) {
    return {
      ok: false,
      message: `${path}: cannot be read (got ${text.why}); name a file of answers`,
    };
  }
  const over = yamlTooMuch(text.text);
  if (over !== null) return { ok: false, message: `${path}: ${over.message}` };
  const document = parseDocument(text.text, { logLevel: 'error' });
  const [fault] = document.errors;
  if (fault !== undefined) {
    const what = fault.message.split('\n')[0] ?? '';
    return { ok: false, message: `${path}: is not valid YAML (got ${what}); correct it` };
  }
  const raw: unknown = document.toJS({ maxAliasCount: 50 }) ?? {};
  const much = tooMuch(raw, REQUEST_BOUNDS);
  if (much !== null) return { ok: false, message: `${path} ${pathOf(much.path)}: ${much.message}` };
  const checked = check(answersSchema, raw);
  if (checked.ok) return { ok: true, answers: checked.value };
  const lines = checked.findings.map(
    ({ path: at, message }) => `${path} ${at.join('.')}: ${message}`,
  );
  return { ok: false, message: lines.join('\n') };
}

interface SiteTyped {
  position?: unknown;
  latitude?: unknown;
  longitude?: unknown;
  elevation?: unknown;
  zone?: unknown;
}

/** Where the site is by the answers, else by the config; what is not known yet counts as zero. */
export function answeredPlace({ site }: SetupAnswers, old: RawConfig | null): TrialPlace {
  const typed: SiteTyped = { ...(isMap(old?.site) ? old.site : {}), ...site };
  const { position, latitude, longitude, elevation, zone } = typed;
  const reading = readPosition(String(position ?? `${latitude}, ${longitude}`));
  const height = readQuantity(String(elevation), 'length');
  return {
    latitudeDeg: reading.ok ? reading.latitude : 0,
    longitudeDeg: reading.ok ? reading.longitude : 0,
    elevationM: height.ok ? height.value : 0,
    zone: typeof zone === 'string' && isZone(zone) ? zone : 'Etc/UTC',
  };
}
