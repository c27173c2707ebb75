import { z } from 'zod';

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
