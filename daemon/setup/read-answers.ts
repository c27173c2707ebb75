import { parseDocument } from 'yaml';
import { check } from '../config/issue-problems.ts';
import { pathOf } from '../config/problems.ts';
import { readText } from '../config/read-text.ts';
import { REQUEST_BOUNDS, tooMuch } from '../config/too-much.ts';
import { yamlTooMuch } from '../config/yaml-bounds.ts';
import { answersSchema, type SetupAnswers } from './answers.ts';

/** Answers from a file, or everything that is wrong with its form. */
export type AnswersReading = { ok: true; answers: SetupAnswers } | { ok: false; message: string };

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
