import { parseDocument } from 'yaml';
import { check } from '../config/issue-problems.ts';
import { readText } from '../config/read-text.ts';
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
  const document = parseDocument(text.text, { logLevel: 'error' });
  const [fault] = document.errors;
  if (fault !== undefined) {
    const what = fault.message.split('\n')[0] ?? '';
    return { ok: false, message: `${path}: is not valid YAML (got ${what}); correct it` };
  }
  const checked = check(answersSchema, document.toJS() ?? {});
  if (checked.ok) return { ok: true, answers: checked.value };
  const lines = checked.findings.map(
    ({ path: at, message }) => `${path} ${at.join('.')}: ${message}`,
  );
  return { ok: false, message: lines.join('\n') };
}
