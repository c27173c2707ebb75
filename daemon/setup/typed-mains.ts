import { check } from '../config/issue-problems.ts';
import { pipeSchema } from '../config/limits-schema.ts';
import { shortId } from './short-id.ts';
import { typedNumber } from './typed-number.ts';

const MOST_MAINS = 100;
/** Of one main with its flow. */
const MOST_LETTERS = 100;

/** Mains in one line, as they are typed: "north 250 gpm; south 250 gpm". */
export function mainsText(mains: readonly Readonly<Record<string, unknown>>[]): string {
  return mains.map(({ id, flow }) => `${id} ${flow}`).join('; ');
}

/** Mains from one line, or what is wrong with it. */
export function typedMains(text: string): { id: string; flow: string }[] | string {
  const pipes: { id: string; flow: string }[] = [];
  if (['-', ''].includes(text.trim())) return pipes;
  const parts = text.split(/;|\n/).filter((one) => one.trim() !== '');
  if (parts.length > MOST_MAINS || parts.some((part) => part.length > MOST_LETTERS)) {
    return `is too long (got ${text.length} letters); write a name and a flow for each main, such as north 250 gpm`;
  }
  for (const part of parts) {
    const [, name = '', amount = ''] =
      /^(.*?)[\s:,=]+([\d.,]+\s*[^\d\s].*)$/.exec(part.trim()) ?? [];
    const number = typedNumber(amount);
    if (name === '' || !number.ok) {
      return `has a main without its flow (got ${part.trim()}); write a name and a flow, such as north 250 gpm`;
    }
    const pipe = { id: shortId(name), flow: number.text };
    const checked = check(pipeSchema, pipe);
    if (!checked.ok) {
      return `main ${name}: ${checked.findings.map(({ message }) => message).join('; ')}`;
    }
    pipes.push(pipe);
  }
  return pipes;
}
