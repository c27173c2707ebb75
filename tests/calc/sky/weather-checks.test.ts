import { describe, expect, it } from 'vitest';
import { checkedHours } from '../../../calc/sky/weather-checks.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

/** An invented day that moves as a day does. */
function day(count = 24): RawHour[] {
  return Array.from({ length: count }, (_, hour) => ({
    startMs: hour * HOUR_MS,
    origin: 'observed',
    airTempC: 20 + 8 * Math.sin((hour * Math.PI) / 12),
    dewPointC: 10 + Math.sin(hour),
    relativeHumidityPct: 60 - 15 * Math.sin((hour * Math.PI) / 12),
    windMPerS: 3 + Math.sin(hour / 2),
    windHeightM: 2,
    solarMjPerM2: Math.max(0, 2.5 * Math.sin(((hour - 6) * Math.PI) / 12)),
    rainMm: 0,
  }));
}

const withHours = (from: number, to: number, change: Partial<RawHour>, count = 24) =>
  day(count).map((hour, index) => (index >= from && index < to ? { ...hour, ...change } : hour));

const said = (hours: RawHour[]) =>
  checkedHours(hours).findings.map(({ rule, field }) => `${rule} ${field}`);

describe('the checks of neighbouring hours', () => {
  it('let a day pass that moves as a day does', () => {
    expect(checkedHours(day())).toEqual({ hours: day(), findings: [] });
  });

  // Limits of NOAA's MADIS temporal consistency check, from memory: 35 °F, 35 °F, 50 %, 20 kn in an hour.
  it.each([
    ['airTempC', 35 / 1.8],
    ['dewPointC', 35 / 1.8],
    ['relativeHumidityPct', 50],
    ['windMPerS', 20 * 0.514444],
  ] as const)('%s may rise by its limit of %f and not by a tenth more', (field, limit) => {
    const flat = day().map((hour, index) => ({ ...hour, [field]: 30 + 0.01 * index }));
    const leaping = (by: number) =>
      flat.map((hour, index) => (index === 12 ? { ...hour, [field]: 30 + by } : hour));
    expect(said(leaping(limit - 0.2))).toEqual([]);
    expect(said(leaping(limit + 0.2))).toEqual([`step ${field}`]);
    const { hours } = checkedHours(leaping(limit + 0.2));
    expect(hours.map((hour) => hour[field] === null)).toEqual(flat.map((_, i) => i === 12));
  });

  it('keep a front: a leap that stays', () => {
    const front = day().map((hour, index) => ({
      ...hour,
      windMPerS: (index < 12 ? 1 : 14) + 0.1 * (index % 3),
    }));
    expect(said(front)).toEqual([]);
  });

  it('do not believe a leap in the newest hour before another bears it out', () => {
    expect(said(withHours(23, 24, { airTempC: 45 }))).toEqual(['step airTempC']);
    expect(said(withHours(22, 24, { airTempC: 45 }))).toEqual([]);
  });

  it('compare nothing over a gap', () => {
    const gapped = withHours(12, 13, { airTempC: 50 }).filter((_, i) => i !== 11 && i !== 13);
    expect(said(gapped)).toEqual([]);
  });

  it.each([
    ['airTempC', 21, 12],
    ['dewPointC', 4, 24],
    ['relativeHumidityPct', 55, 24],
    ['windMPerS', 0, 24],
    ['solarMjPerM2', 1.1, 5],
  ] as const)('call %s stuck at %f from %i hours on', (field, value, hours) => {
    expect(said(withHours(2, 2 + hours - 1, { [field]: value }, 40))).toEqual([]);
    const found = checkedHours(withHours(2, 2 + hours, { [field]: value }, 40));
    expect(found.findings).toMatchObject([{ rule: 'stuck', field, startMs: 2 * HOUR_MS }]);
    expect(found.hours.filter((hour) => hour[field] === null)).toHaveLength(hours);
  });

  it('let saturated air and the night be', () => {
    expect(said(withHours(0, 40, { relativeHumidityPct: 100 }, 40))).toEqual([]);
    expect(said(withHours(0, 40, { solarMjPerM2: 0 }, 40))).toEqual([]);
  });

  it('let stay what is saturated from 97 % on, or dark below 0.02 MJ/m²', () => {
    expect(said(withHours(0, 40, { relativeHumidityPct: 97 }, 40))).toEqual([]);
    expect(said(withHours(0, 40, { relativeHumidityPct: 96.9 }, 40))).toEqual([
      'stuck relativeHumidityPct',
    ]);
    expect(said(withHours(0, 40, { solarMjPerM2: 0.019 }, 40))).toEqual([]);
    expect(said(withHours(0, 40, { solarMjPerM2: 0.02 }, 40))).toEqual(['stuck solarMjPerM2']);
  });

  it('let a value leap by exactly its limit, down as well as up', () => {
    const flat = (at12: number) =>
      day().map((hour, index) => ({
        ...hour,
        relativeHumidityPct: index === 12 ? at12 : 60 + (index % 2) / 4,
      }));
    expect(said(flat(10.25))).toEqual([]);
    expect(said(flat(10))).toEqual(['step relativeHumidityPct']);
    // Down by more than that, and up again by no more: a front.
    const half = flat(9).map((hour, index) =>
      index > 12 ? { ...hour, relativeHumidityPct: 59 - (index % 2) / 4 } : hour,
    );
    expect(said(half)).toEqual([]);
    const onward = flat(9).map((hour, index) =>
      index === 12
        ? { ...hour, relativeHumidityPct: 40 }
        : index > 12
          ? { ...hour, relativeHumidityPct: 95 + (index % 2) / 4 }
          : hour,
    );
    expect(said(onward)).toEqual([]);
  });

  it('tell what they got and what they allow', () => {
    const leap = checkedHours(withHours(12, 13, { windMPerS: 30.126 })).findings[0];
    expect(leap).toMatchObject({
      startMs: 12 * HOUR_MS,
      endMs: 13 * HOUR_MS,
      value: 30.126,
      atMost: 10.3,
      followedBy: 'leap_back',
    });
    const newest = checkedHours(withHours(23, 24, { airTempC: 45 })).findings[0];
    expect(newest).toMatchObject({ rule: 'step', value: 45, followedBy: 'nothing' });
    const still = checkedHours(withHours(3, 16, { airTempC: 21 })).findings[0];
    expect(still).toMatchObject({
      startMs: 3 * HOUR_MS,
      endMs: 16 * HOUR_MS,
      rule: 'stuck',
      value: 21,
      hours: 13,
      atLeast: 12,
    });
    // A gap ends it.
    const gapped = withHours(3, 16, { airTempC: 21 }).filter((_, index) => index !== 9);
    expect(said(gapped)).toEqual([]);
  });

  it('are told in order of time', () => {
    const both = withHours(5, 30, { dewPointC: 4 }, 40).map((hour, index) =>
      index === 2 ? { ...hour, windMPerS: 30 } : hour,
    );
    expect(said(both)).toEqual(['step windMPerS', 'stuck dewPointC']);
  });
});
