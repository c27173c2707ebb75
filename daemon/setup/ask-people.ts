import { isIP } from 'node:net';
import { isLoopback } from '../config/page-schema.ts';
import { LEAST_PIN } from '../config/pin-hash.ts';
import { isMap } from '../config/read-text.ts';
import type { AnsweredPerson } from './answers.ts';
import { askYesNo, textQuestion } from './checked-answer.ts';
import type { Talk } from './talk.ts';

/** Who may use the page, and from where. */
export interface PageAnswer {
  page?: { address: string };
  people?: AnsweredPerson[];
}

/** Asks for people and their PINs; PINs are typed twice and never shown. */
export async function askPeople(
  talk: Talk,
  old: Readonly<Record<string, unknown>>,
): Promise<PageAnswer> {
  const { people: listed, address: oldAddress } = old;
  const before = Array.isArray(listed) ? listed.filter(isMap) : [];
  const names = before.flatMap(({ name }) => (typeof name === 'string' ? [name] : []));
  if (names.length > 0) talk.tell(`  People who may use the page now: ${names.join(', ')}.`);
  const wider = await talk.ask({
    kind: 'choice',
    ask: 'Who uses the page?',
    choices: [
      { value: 'here', words: 'people at this machine alone, by their name, without a PIN' },
      { value: 'people', words: 'people with PINs, from this machine or others' },
      ...(names.length > 0 ? [{ value: 'keep', words: 'the same as now' }] : []),
    ],
    preset: names.length > 0 ? 'keep' : 'here',
  });
  if (wider === 'keep') return {};
  if (wider === 'here')
    return names.length > 0 ? { page: { address: '127.0.0.1' }, people: [] } : {};
  const people: AnsweredPerson[] = [];
  do {
    people.push(await askPerson(talk, { isFirst: people.length === 0, names }));
  } while (await askYesNo(talk, 'One more person?', 'no'));
  const address = await talk.ask(
    textQuestion(
      {
        ask: 'Address that the page listens on (127.0.0.1: this machine; 0.0.0.0: the network)',
        preset: typeof oldAddress === 'string' ? oldAddress : '127.0.0.1',
      },
      (text) => (isIP(text) === 0 ? `is not an IP address (got ${text}); write 127.0.0.1` : null),
    ),
  );
  if (!isLoopback(address)) {
    talk.tell(
      '  Beyond this machine put a proxy with https in front, or PINs cross the network in the clear.',
    );
  }
  return { page: { address }, people };
}

async function askPerson(
  talk: Talk,
  { isFirst, names }: { isFirst: boolean; names: readonly string[] },
): Promise<AnsweredPerson> {
  const name = (
    await talk.ask(
      textQuestion({ ask: 'Name' }, (text) =>
        text.trim() === '' || text.trim().length > 60
          ? 'is no name (got nothing, or too much); write 1 to 60 letters'
          : null,
      ),
    )
  ).trim();
  const role = await talk.ask({
    kind: 'choice',
    ask: `What may ${name} do?`,
    choices: [
      { value: 'keeper', words: 'everything: confirm, change, hold' },
      { value: 'watcher', words: 'look and hold, never confirm' },
    ],
    preset: isFirst ? 'keeper' : 'watcher',
  });
  const isKnown = names.includes(name);
  let pin = '';
  const keep = isKnown ? ', empty: the one before' : '';
  pin = await talk.ask({
    kind: 'secret',
    ask: `PIN of ${name} (${LEAST_PIN} characters or more${keep})`,
    wrong: (text) =>
      (isKnown && text === '') || (text.length >= LEAST_PIN && text.length <= 64)
        ? null
        : `must have ${LEAST_PIN} to 64 characters (got ${text.length}); choose another one`,
  });
  if (pin === '') return { name, role };
  await talk.ask({
    kind: 'secret',
    ask: 'The same again',
    wrong: (text) =>
      text === pin ? null : 'is another one (got a different PIN); type the same, or < to go back',
  });
  return { name, role, pin };
}
