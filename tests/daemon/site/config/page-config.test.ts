import { describe, expect, it } from 'vitest';
import { pinHash, pinMatches } from '../../../../daemon/site/config/pin-hash.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';
import { configText, loadSound, problemsOf } from './sound-config.ts';

const HASH = `scrypt:32768:8:1:${'a'.repeat(22)}:${'b'.repeat(43)}`;
const PERSON = `{ name: A. Keeper, pin: "${HASH}" }`;
const withPage = (page: string) => configText({}, [`page: ${page}`]);

describe('the page in the config', () => {
  it('listens on this machine alone, for anyone, unless told otherwise', () => {
    const { page } = loadSound(configText());
    expect(page).toEqual({
      address: '127.0.0.1',
      port: 8780,
      people: [],
      hosts: [],
      https: false,
      proxies: [],
      stop_by_anyone: true,
      idle: 720,
    });
  });

  it.each([
    [
      '{ address: 0.0.0.0 }',
      'page.address: can be reached from other machines (got 0.0.0.0); name people with PINs',
    ],
    ['{ address: "::" }', 'page.address: can be reached from other machines (got ::)'],
    ['{ hosts: [greens.example.org] }', 'page.hosts: lets other machines in through a proxy'],
    ['{ proxies: [127.0.0.1] }', 'page.proxies: lets other machines in through a proxy'],
    ['{ https: true }', 'page.https: lets other machines in through a proxy'],
    [`{ people: [${PERSON}, ${PERSON.replace('A. K', 'a. k')}] }`, 'has two people of one name'],
    [`{ people: [${PERSON}], hosts: ["https://greens.example.org/"] }`, 'is no name of a host'],
    [
      '{ people: [{ name: A. Keeper, pin: "271828" }] }',
      'is no hash of a PIN (got (hidden)); make one with `dewbeat pin`',
    ],
    [
      `{ people: [${PERSON.replace(' }', ', role: owner }')}] }`,
      'is none of the choices (got owner)',
    ],
  ])('%s: %s', (page, told) => {
    const problems = problemsOf(withPage(page));
    expect(problems.join('\n')).toContain(told);
    expect(problems.join('\n')).not.toContain('271828');
  });

  it('takes another address with people', () => {
    expect(loadSound(withPage(`{ address: 0.0.0.0, people: [${PERSON}] }`)).page.people).toEqual([
      { name: 'A. Keeper', pin: HASH, role: 'keeper', language: 'en' },
    ]);
  });
});

describe('a PIN', () => {
  it('has a hash of its own each time, and only the PIN fits it', async () => {
    const [one, two] = await Promise.all([pinHash('271828'), pinHash('271828')]);
    expect(one).not.toBe(two);
    expect(one).not.toContain('271828');
    expect(await pinMatches('271828', one)).toBe(true);
    expect(await pinMatches('271829', one)).toBe(false);
    expect(await pinMatches('271828', HASH)).toBe(false);
    expect(await pinMatches('271828', 'nonsense')).toBe(false);
  });

  it('is asked for twice by dewbeat pin, at a terminal alone, and never shown', async () => {
    const cwd = scratchFolder();
    const said = await dewbeat(['pin'], { cwd, nowMs: 0, answers: ['271828', '271828'] });
    expect(said).toMatchObject({ code: 0, err: '' });
    const hash = /pin: "([^"]+)"/.exec(said.out)?.[1] ?? '';
    expect(await pinMatches('271828', hash)).toBe(true);
    expect(said.out).not.toContain('271828');
    const differs = await dewbeat(['pin'], { cwd, nowMs: 0, answers: ['271828', '271829'] });
    expect(differs).toMatchObject({ code: 2, err: expect.stringContaining('the two differ') });
    const short = await dewbeat(['pin'], { cwd, nowMs: 0, answers: ['2718', '2718'] });
    expect(short).toMatchObject({ code: 2, err: expect.stringContaining('6 to 64 characters') });
    expect((await dewbeat(['pin'], { cwd, nowMs: 0 })).code).toBe(2);
  });
});
