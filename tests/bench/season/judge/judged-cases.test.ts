import { expect, test } from 'vitest';
import { referenceVerdict } from '../../../../calc/sand/reference-column.ts';
import { copyColumn } from '../../../../calc/sand/richards-column.ts';
import { lastMoment } from '../contenders.ts';
import { dayVerdicts } from './day-verdicts.ts';
import { inventedSummer } from './invented-summer.ts';
import { caseSlots, judgedCase, windowsApart } from './judged-cases.ts';
import { isInBand } from './told-bands.ts';

const CLASSES = ['a', 'b', 'c', 'd', 'e', 'f', 'g'];
const sources = [inventedSummer(25), inventedSummer(25)];
const windows = windowsApart(sources);
const slot = { isApart: false, className: 'coarse_open', seed: 0, turn: 0 };
const judged = judgedCase(slot, windows);

test('a third of the beds is kept apart, of each class', () => {
  const slots = caseSlots(CLASSES, 42);
  for (const className of CLASSES) {
    const own = slots.filter((one) => one.className === className);
    expect(own).toHaveLength(6);
    expect(own.filter(({ isApart }) => isApart)).toHaveLength(2);
  }
  expect(new Set(slots.map(({ seed }) => seed)).size).toBe(42);
});

test('a shorter run is the beginning of a longer one', () => {
  expect(caseSlots(CLASSES, 42).slice(0, 10)).toEqual(caseSlots(CLASSES, 10));
});

test('one window of each place is kept apart', () => {
  expect(windows.apart).toHaveLength(2);
  expect(windows.apart.map(({ window }) => window.kind)).toEqual(['hot and dry', 'mixed']);
  const days = ({ source, window }: (typeof windows)['apart'][number]) =>
    Array.from(
      { length: 5 },
      (_, day) => `${sources.indexOf(source)} ${Date.parse(window.siteDay) / 86_400_000 + day}`,
    );
  const kept = new Set(windows.apart.flatMap(days));
  expect(windows.others.length).toBeGreaterThan(0);
  expect(windows.others.flatMap(days).filter((day) => kept.has(day))).toEqual([]);
});

test('the bed loses by its own coefficient, and at night by its own part', () => {
  const { lossCoefficient, openNightFraction } = judged.truth;
  const [source] = sources;
  const ratios = judged.one.trial.hours.map((hour) => {
    const weather = source?.hours.find(({ startMs }) => startMs === hour.startMs);
    return weather === undefined || weather.referenceEtMm < 0.01
      ? null
      : { ratio: hour.demandMmPerH / weather.referenceEtMm, sun: weather.solarMjPerM2 };
  });
  const told = ratios.filter((one) => one !== null);
  const byDay = told.filter(({ sun }) => sun > 0.5);
  for (const { ratio } of byDay) expect(ratio).toBeCloseTo(lossCoefficient, 9);
  const byNight = told.filter(({ sun }) => sun === 0);
  expect(byNight.length).toBeGreaterThan(0);
  for (const { ratio } of byNight) expect(ratio).toBeGreaterThan(lossCoefficient);
  expect(openNightFraction).toBeGreaterThan(0);
});

test('the days of a case are the whole of it', () => {
  const days = judged.one.days.slice(0, 2);
  const toMs = judged.one.trial.fromMs + 48 * 3_600_000;
  const one = { ...judged.one, days, trial: { ...judged.one.trial, toMs } };
  const water = [3, 6, 10, 27, 30, 34].map((hour) => {
    const startMs = one.trial.fromMs + hour * 3_600_000;
    return { startMs, endMs: startMs + 600_000, netMm: 2 };
  });
  const whole = referenceVerdict(copyColumn(one.column), one.trial, water);
  const own = dayVerdicts(one, water);
  const total = (pick: 'dryMin' | 'daylightMin' | 'netMm' | 'drainedMm' | 'cycles') =>
    own.reduce((sum, day) => sum + day[pick], 0);
  expect(own).toHaveLength(2);
  expect(whole.dryMin).toBeGreaterThan(60);
  expect(total('dryMin')).toBeCloseTo(whole.dryMin, -0.5);
  expect(total('daylightMin')).toBeCloseTo(whole.daylightMin, 6);
  expect(total('netMm')).toBeCloseTo(12, 6);
  expect(total('drainedMm')).toBeCloseTo(whole.drainedMm, 1);
  expect(total('cycles')).toBe(6);
});

test('the band holds the moment at which the bed is dry without water', () => {
  const { one } = judged;
  const { fromMs } = one.trial;
  const { firstDryMs } = referenceVerdict(copyColumn(one.column), one.trial, [], true);
  if (firstDryMs === null) throw new Error('the bed never dries');
  const morning = () => ({ fromMs, column: copyColumn(one.column) });
  const hold = (fromOff: number, toOff: number) =>
    isInBand(one, morning(), {
      earliestMs: firstDryMs + fromOff,
      latestMs: firstDryMs + toOff,
    });
  expect(hold(-60_000, 60_000)).toBe(true);
  expect(hold(-3_600_000, -60_000)).toBe(false);
  expect(hold(60_000, 3_600_000)).toBe(false);
  expect(isInBand(one, morning(), { earliestMs: fromMs, latestMs: null })).toBe(true);
  expect(isInBand(one, morning(), { earliestMs: null, latestMs: null })).toBe(false);
});

test('the referee leaves no dry minute of a day that would be dry', () => {
  const { trial } = judged.one;
  const one = { ...judged.one, trial: { ...trial, toMs: trial.fromMs + 24 * 3_600_000 } };
  const unwatered = referenceVerdict(copyColumn(one.column), one.trial, [], true);
  expect(unwatered.firstDryMs).not.toBeNull();
  expect(lastMoment(one).verdict.dryMin).toBe(0);
});
