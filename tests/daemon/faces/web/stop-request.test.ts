import { describe, expect, it } from 'vitest';
import { readStopRequest, whoStops } from '../../../../daemon/faces/web/front/requests.ts';
import { unknownProxy } from '../../../../daemon/faces/web/safety/request-origin.ts';
import { sayIn, sayMessage } from '../../../../daemon/words/language.ts';

const say = sayIn('en');
const asked = (more: object) => readStopRequest(JSON.stringify({ beds: 'all', ...more }), say);

it('a stop carries names and reasons without marks that steer a terminal', () => {
  expect(asked({ who: 'C. \u202eMower\u0007\n', why: ' burst \u001b[2J pipe ' })).toMatchObject({
    who: 'C. Mower',
    why: 'burst [2J pipe',
  });
  expect(asked({ who: '\u200e', why: '\u0000' })).toMatchObject({
    who: '',
    why: 'no reason given',
  });
});

it.each([
  [{ given: 'C. Mower', stopByAnyone: true }, 'C. Mower (not signed in, 192.0.2.7)'],
  [{ given: '', stopByAnyone: true }, 'someone at 192.0.2.7'],
  [{ given: 'C. Mower', stopByAnyone: false }, null],
  [{ given: 'C. Mower', stopByAnyone: false, person: 'A. Keeper' }, 'A. Keeper'],
  [{ given: 'C. Mower', stopByAnyone: false, hasPeople: false }, 'C. Mower'],
])('a stop is put down to whoever may have asked for it: %j', (asking, who) => {
  const usual = { person: null, address: '192.0.2.7', hasPeople: true };
  expect(whoStops({ ...usual, ...asking, say })).toBe(who);
});

it('what a proxy has passed on is taken where one is named', () => {
  const headers = { 'x-forwarded-for': '192.0.2.7' };
  expect(unknownProxy(headers, { proxies: [] })).toBe('x-forwarded-for');
  expect(unknownProxy(headers, { proxies: ['127.0.0.1'] })).toBeNull();
  expect(unknownProxy({ host: 'a' }, { proxies: [] })).toBeNull();
});

describe('a stop as it is asked for', () => {
  const askedFor = (change: object) =>
    readStopRequest(JSON.stringify({ beds: 'all', ...change }), say);

  it.each([
    ['{', 'is no JSON; send {"beds":"all"}'],
    ['null', 'is no map; send {"beds":"all"}'],
    ['[]', 'is no map; send {"beds":"all"}'],
    ['"all"', 'is no map; send {"beds":"all"}'],
    ['{}', 'beds: is missing; name the beds, or write all'],
    ['{"beds":[]}', 'beds: is missing; name the beds, or write all'],
    ['{"beds":[7,""]}', 'beds: is missing; name the beds, or write all'],
    ['{"beds":"bed-1"}', 'beds: is missing; name the beds, or write all'],
  ])('cannot be %s', (text, why) => {
    const wrong = readStopRequest(text, say);
    expect('key' in wrong ? sayMessage(wrong, say) : '').toBe(why);
  });

  it('names the beds that can be beds', () => {
    const longest = 'b'.repeat(64);
    expect(askedFor({ beds: ['bed-1', 7, '', longest, `${longest}b`] })).toMatchObject({
      beds: ['bed-1', longest],
    });
    const many = Array.from({ length: 2_001 }, (_, i) => `b-${i}`);
    expect(askedFor({ beds: many })).toMatchObject({ beds: many.slice(0, 2_000) });
  });

  it('is carried out whatever else is wrong with it', () => {
    expect(askedFor({ who: 7, why: null, untilMs: 'soon' })).toEqual({
      beds: 'all',
      who: '',
      why: 'no reason given',
      untilMs: null,
    });
    expect(askedFor({ untilMs: 7 })).toMatchObject({ untilMs: 7 });
    expect(askedFor({ untilMs: 7.5 })).toMatchObject({ untilMs: null });
    const long = askedFor({ who: 'w'.repeat(61), why: `${'y'.repeat(199)} z` });
    expect(long).toMatchObject({ who: 'w'.repeat(60), why: 'y'.repeat(199) });
  });

  it('is put down to someone at the page where nobody signs in', () => {
    const by = { person: null, given: '', address: '192.0.2.7', stopByAnyone: false };
    expect(whoStops({ ...by, hasPeople: false, say })).toBe('someone at the page');
  });
});
