import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { frame } from '../../../../daemon/faces/terminal/frame.ts';
import { handleKey } from '../../../../daemon/faces/terminal/handle-key.ts';
import type { Key } from '../../../../daemon/faces/terminal/read-keys.ts';
import { paint } from '../../../../daemon/faces/terminal/review-line.ts';
import { applyUpdate, reviewSession } from '../../../../daemon/faces/terminal/review-session.ts';
import { initialReview, type ReviewState } from '../../../../daemon/faces/terminal/review-state.ts';
import type { TodayView } from '../../../../daemon/faces/web/views/today-view.ts';
import { makePlan } from '../../../../daemon/planning/make-plan.ts';
import { openDemo } from '../../../../daemon/site/config/demo.ts';
import { openWeather } from '../../../../daemon/site/config/open-weather.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { columnsOf } from '../../../../daemon/words/text-columns.ts';
import { MORNING_MS } from '../web/page-rig.ts';

const SIZES = [
  { width: 80, height: 24 },
  { width: 60, height: 24 },
  { width: 132, height: 50 },
  { width: 40, height: 12 },
  { width: 20, height: 5 },
];
const USUAL = { width: 80, height: 24 };
const STEER = /[\p{Cc}\p{Cf}]/u;

const clock = siteClock('Etc/GMT+4');
const site = { clock, units: 'us' as const };
const letters = (text: string): Key[] => [...text].map((letter) => ({ name: 'letter', letter }));

let first: ReviewState;
let folder: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'dewbeat-frames-'));
  first = await morning('A. Keeper');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The demo's morning with a plan, as the review has read it. */
async function morning(who: string): Promise<ReviewState> {
  const read = openDemo(folder, MORNING_MS);
  if (!read.ok) throw new Error('the demo is not sound');
  // A rest that no store outlasts: the screens have a shortage to tell of.
  const { site } = read.config;
  const limits = { ...site.limits, restMin: 180 };
  const config = { ...read.config, site: { ...site, limits } };
  const db = openDatabase(config.dataFolder);
  try {
    const weather = openWeather(config);
    const now = () => MORNING_MS;
    const planning = { db, config, weather, nowMs: MORNING_MS };
    await makePlan(planning, { cause: 'person', who, lift: 'none' });
    const stop = async () => ({ text: '', isWell: true });
    const session = reviewSession({ db, config, weather, now, stop, passOn: async () => [] });
    const at = applyUpdate(initialReview(who), await session.read(initialReview(who)));
    return applyUpdate(at, await session.read({ ...at, screen: { kind: 'bed' } }));
  } finally {
    db.close();
  }
}

function pressed(state: ReviewState, ...keys: Key[]): ReviewState {
  return keys.reduce((now, key) => handleKey(now, key, site).state, state);
}

function texts(state: ReviewState, size: { width: number; height: number }): string[] {
  return frame(state, size, clock).lines.map((line) => line.text);
}

const SCREENS: [string, Key[]][] = [
  ['the beds', []],
  ['a bed', [{ name: 'enter' }]],
  ...[...'lm?hcdtrwkspu'].map((letter): [string, Key[]] => [letter, letters(letter)]),
];

describe('a frame of the review', () => {
  it.each(SIZES)('fills exactly $width x $height on every screen', (size) => {
    for (const [name, keys] of SCREENS) {
      const lines = texts(pressed(first, ...keys), size);
      expect(lines, name).toHaveLength(size.height);
      for (const text of lines) {
        expect(columnsOf(text), `${name}: ${text}`).toBeLessThanOrEqual(size.width);
        expect(text).not.toMatch(STEER);
      }
    }
  });

  it.each([
    [80, 24],
    [60, 24],
  ])('has what a person needs at five in the morning in %i x %i', (width, height) => {
    const shown = texts(first, { width, height }).join('\n');
    for (const part of [
      'HELD: not sent',
      'waits for you',
      'of the days before',
      'wind up',
      'dry in, at',
      'Does not fit',
      '|',
      'now 05:10',
      'o planned',
      'c confirm',
      '! STOP WATER',
      '? help',
    ]) {
      expect(shown).toContain(part);
    }
    for (const bed of first.view?.beds.slice(0, 3) ?? []) expect(shown).toContain(bed.name);
  });

  it('offers to stop water on every screen, and takes two keys for it, also where letters are typed', () => {
    for (const [name, keys] of SCREENS) {
      const shown = texts(pressed(first, ...keys), USUAL).join('\n');
      expect(shown, name).toMatch(/! STOP WATER|a stop ALL/);
      const held =
        name === 'h' ? pressed(first, ...keys) : pressed(first, ...keys, ...letters('!'));
      expect(held.screen.kind, name).toBe('hold');
      expect(handleKey(held, { name: 'letter', letter: 'a' }, site).act, name).toMatchObject({
        kind: 'hold',
        beds: 'all',
      });
    }
  });

  it('obeys no name or reason that steers a terminal', () => {
    const view = first.view as TodayView;
    const evil = '\x1b[2J\x1b]0;mine\x07\u202e';
    const beds = view.beds.map((bed) => ({ ...bed, name: evil + bed.name }));
    const state = { ...first, view: { ...view, beds, site: { ...view.site, name: evil } } };
    for (const [, keys] of SCREENS) {
      for (const text of texts(pressed(state, ...keys), USUAL)) expect(text).not.toMatch(STEER);
    }
  });

  it('says that it is old when the store cannot be read', () => {
    const state = applyUpdate(first, { kind: 'unreadable', text: 'disk' });
    expect(texts(state, USUAL).join('\n')).toContain('What you see is OLD');
  });

  it('writes only what differs, and no colour where none may be', () => {
    const { lines } = frame(first, USUAL, clock);
    expect(paint(lines, lines, true)).toBe('');
    const looks = (text: string) => text.split('\x1b[').filter((one) => /^[0-9;]*m/.test(one));
    expect(looks(paint(null, lines, false))).toEqual([]);
    expect(looks(paint(null, lines, true)).length).toBeGreaterThan(5);
    const next = frame(pressed(first, { name: 'down' }), USUAL, clock).lines;
    expect(paint(lines, next, false).length).toBeLessThan(paint(null, next, false).length / 2);
  });
});

describe('keys of the review', () => {
  const key = fc.oneof(
    fc.constantFrom(...'cdtrwkesaplm?h!ab y123').map((letter): Key => ({ name: 'letter', letter })),
    fc.constantFrom<Key>(
      { name: 'up' },
      { name: 'down' },
      { name: 'left' },
      { name: 'right' },
      { name: 'enter' },
      { name: 'escape' },
      { name: 'tab' },
      { name: 'backspace' },
      { name: 'page_down' },
      { name: 'pasted', text: 'y1\u202e' },
    ),
  );
  /** Whole moves besides, so that the scripts get somewhere. */
  const piece = fc.oneof(
    key.map((one) => [one]),
    fc.constantFrom('c', '123', 'y', 'c123y', '!a', 'hb').map(letters),
    fc.constant<Key[]>([...letters('r'), { name: 'enter' }]),
    fc.constant<Key[]>([{ name: 'escape' }]),
  );

  it('confirm only what is shown with every caution ticked, and change only what was previewed', () => {
    const cautions = first.view?.cautions.map(({ code }) => code) ?? [];
    const acts = { confirm: 0, change: 0, hold: 0, preview: 0, leave: 0 };
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 30 }), fc.constantFrom(...SIZES), (pieces, size) => {
        let state = first;
        for (const one of pieces.flat()) {
          const before = state;
          const { state: next, act } = handleKey(state, one, site);
          state = next;
          if (act === null) continue;
          acts[act.kind]++;
          if (act.kind === 'confirm') {
            expect(before.screen).toMatchObject({ kind: 'confirm', read: act.read });
            expect(act.read.digest).toBe(first.view?.newest?.digest);
            expect(act.cautions.toSorted()).toEqual(cautions.toSorted());
          }
          // Nothing answers here, so that no preview is ever shown.
          expect(act.kind).not.toBe('change');
          if (act.kind === 'hold') expect(before.screen.kind).toBe('hold');
        }
        expect(texts(state, size)).toHaveLength(size.height);
      }),
      { seed: 20261125, numRuns: 200 },
    );
    expect(Math.min(acts.confirm, acts.hold, acts.preview)).toBeGreaterThan(5);
  });

  it('a key held down never confirms', () => {
    for (const one of [{ name: 'enter' } as const, ...letters('c1y ')]) {
      let state = pressed(first, ...letters('c'));
      for (let times = 0; times < 20; times++) {
        const { state: next, act } = handleKey(state, one, site);
        expect(act).toBeNull();
        state = next;
      }
    }
  });

  it('keeps nothing before its preview was shown, and nothing twice', () => {
    const asked = pressed(first, ...letters('r'), { name: 'enter' });
    expect(asked.screen).toMatchObject({ kind: 'preview', seen: null });
    const keep: Key = { name: 'letter', letter: 'y' };
    expect(handleKey(asked, keep, site).act).toBeNull();
    const sums = { cycles: 1, runMin: 1, shortages: [] };
    const seen = {
      line: '',
      dry: [],
      hottestHourMs: 0,
      beds: [],
      before: sums,
      after: sums,
      lines: [],
    };
    const late = applyUpdate(asked, { kind: 'previewed', request: asked.requests - 1, seen });
    expect(late.screen).toMatchObject({ seen: null });
    const ready = applyUpdate(asked, { kind: 'previewed', request: asked.requests, seen });
    const kept = handleKey(ready, keep, site);
    expect(kept.act).toMatchObject({ kind: 'change', change: { kind: 'rotation' } });
    expect(handleKey(kept.state, keep, site).act).toBeNull();
  });

  it.each<[string, string, object]>([
    ['d', '-9\t1.5\t20\r', { hotterK: -5, windFraction: 1.5, cloudierFraction: 0.2 }],
    ['t', '120\tdry\r', { kind: 'trim', trimPct: 120, why: 'dry' }],
    ['r', '2\r', { kind: 'rotation', rotations: 2 }],
    ['w', '0.1\t05:00\r', { kind: 'water', netMm: 2.54 }],
    ['w', '2 mm\r', { kind: 'water', netMm: 2 }],
    ['k', '\tmow\t09:30\r', { kind: 'keep_off', why: 'mow' }],
    ['k', '\tspray\t\t4\r', { why: 'spray', labelIntervalS: 14_400 }],
    ['s', '\thaze of green\r', { kind: 'stage', to: 'emergence', why: 'haze of green' }],
    ['s', ' \thaze of green\r', { kind: 'stage', to: 'tillering', why: 'haze of green' }],
    ['p', '\r', { kind: 'replan' }],
  ])('%s %j asks for the preview of that change', (letter, typed, change) => {
    const keys = [...typed].map((one): Key => {
      if (one === '\t') return { name: 'tab' };
      return one === '\r' ? { name: 'enter' } : { name: 'letter', letter: one };
    });
    const asked = pressed(first, ...letters(letter), ...keys);
    expect(asked.screen).toMatchObject({ kind: 'preview', change });
  });
});
