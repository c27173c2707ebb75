import { createInterface } from 'node:readline';
import { sayInInterview as say } from '../../words/interview.ts';
import { terminalSafe } from '../../words/safe-text.ts';
import { BACK, type Prompt, type Question, SetupAborted } from '../interview/talk.ts';

/** Questions at a real terminal. Ctrl-C ends the set-up; `<` goes one question back. */
export const terminalPrompt: Prompt = async (asked) => {
  const question = { ...asked, ask: terminalSafe(asked.ask) };
  if (question.kind === 'table') return askTable(question.ask);
  const prompts = await import('@inquirer/prompts');
  try {
    if (question.kind === 'choice') {
      const choices = [
        ...question.choices.map(({ value, words }) => ({ value, name: terminalSafe(words) })),
        { value: BACK, name: say('prompt.back') },
      ];
      const { preset } = question;
      return await prompts.select({
        message: question.ask,
        choices,
        loop: false,
        pageSize: 12,
        ...(preset === undefined ? {} : { default: preset }),
      });
    }
    const validate = (text: string) => judged(question, text);
    if (question.kind === 'secret') {
      return await prompts.password({ message: question.ask, mask: true, validate });
    }
    const { preset } = question;
    return await prompts.input({
      message: question.ask,
      validate,
      ...(preset === undefined ? {} : { default: terminalSafe(preset) }),
    });
  } catch (error) {
    if (error instanceof Error && error.name === 'ExitPromptError') throw new SetupAborted();
    throw error;
  }
};

function judged(question: Exclude<Question, { kind: 'choice' }>, text: string): true | string {
  if (text.trim() === BACK) return true;
  const wrong = question.wrong?.(text.trim() === '' ? (question.preset ?? '') : text);
  return wrong === undefined || wrong === null ? true : terminalSafe(wrong);
}

/** Lines up to an empty one: what a spreadsheet puts on the clipboard arrives as such. */
function askTable(ask: string): Promise<string> {
  process.stdout.write(`${say('prompt.table', { ask, back: BACK })}\n`);
  const reader = createInterface({ input: process.stdin, output: process.stdout });
  return new Promise((resolve, reject) => {
    const lines: string[] = [];
    reader.on('line', (line) => {
      if (line.trim() !== '') lines.push(line);
      if (lines[0]?.trim() === BACK || (line.trim() === '' && lines.length > 0)) reader.close();
    });
    reader.on('SIGINT', () => {
      reject(new SetupAborted());
      reader.close();
    });
    reader.on('close', () => resolve(lines.join('\n')));
  });
}
