import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMorningTime } from '../../../../daemon/site/config/morning.ts';
import {
  hideUserInfo,
  isSecretPath,
  nearestKey,
  shownValue,
} from '../../../../daemon/site/config/problems.ts';

describe('the time of the morning plan', () => {
  it.each([
    ['sunrise', { kind: 'sunrise', offsetMin: 0 }],
    ['sunrise - 60 min', { kind: 'sunrise', offsetMin: -60 }],
    ['Sunrise-1 h', { kind: 'sunrise', offsetMin: -60 }],
    ['sunrise + 15 min', { kind: 'sunrise', offsetMin: 15 }],
    ['sunrise - 0 min', { kind: 'sunrise', offsetMin: 0 }],
    ['04:30', { kind: 'clock', hour: 4, minute: 30 }],
    ['4:30', { kind: 'clock', hour: 4, minute: 30 }],
    ['23:59', { kind: 'clock', hour: 23, minute: 59 }],
  ])('%s', (text, expected) => {
    expect(readMorningTime(text)).toEqual(expected);
  });

  it.each([
    ['24:00', /^is no time of the morning \(got 24:00\); write "sunrise - 60 min"/],
    ['dawn', /^is no time of the morning \(got dawn\)/],
    ['sunrise - 60', /^has no unit \(got 60\)/],
    ['sunrise - 60 mm', /^has a unit that does not fit here/],
    [
      'sunrise - 13 h',
      /^is too large \(got 13 h\); use 720 min or less, or 13 s or 13 min if meant$/,
    ],
  ])('%s is refused', (text, message) => {
    expect(readMorningTime(text)).toMatch(message);
  });
});

describe('the nearest key', () => {
  const known = ['area', 'stage', 'sand', 'pump_flow', 'stations_at_once'];

  it.each([
    ['arae', 'area'],
    ['Area', 'area'],
    ['pumpflow', 'pump_flow'],
    ['pump-flow', 'pump_flow'],
    ['staton_at_once', 'stations_at_once'],
    ['colour', null],
    ['id', null],
    ['', null],
  ])('%s', (word, expected) => {
    expect(nearestKey(word, known)).toBe(expected);
  });

  it('is always one of the known, and the word itself when it is one', () => {
    fc.assert(
      fc.property(fc.string(), fc.constantFrom(...known), (word, key) => {
        expect([...known, null]).toContain(nearestKey(word, known));
        expect(nearestKey(key, known)).toBe(key);
      }),
      { seed: 21, numRuns: 200 },
    );
  });
});

describe('what an error text may show', () => {
  it.each([
    'password',
    'password_env',
    'client_secret',
    'token',
    'Authorization',
    'headers',
    'pin',
  ])('hides a value under %s', (key) => {
    expect(isSecretPath(['outputs', 0, key])).toBe(true);
    expect(shownValue('hunter2', ['outputs', 0, key])).toBe('(hidden)');
  });

  it.each(['pump_flow', 'compass', 'spin', 'opinion', 'key_file'])('shows one under %s', (key) => {
    expect(isSecretPath(['supply', key])).toBe(false);
  });

  it('hides name and password in an address, whatever stands around it', () => {
    expect(hideUserInfo('at mqtts://me:pw@h.example:8883/x')).toBe(
      'at mqtts://(hidden)@h.example:8883/x',
    );
    expect(hideUserInfo('mqtt://me:p/w x@y@h')).toBe('mqtt://(hidden)@h');
    expect(hideUserInfo('mqtt://h.example:1883')).toBe('mqtt://h.example:1883');
    expect(hideUserInfo('a@b')).toBe('a@b');
  });

  it('keeps long values short', () => {
    expect(shownValue('x'.repeat(500), ['name'])).toHaveLength(60);
  });
});
