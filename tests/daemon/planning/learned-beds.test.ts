import { describe, expect, it } from 'vitest';
import { memberSpread } from '../../../calc/futures/member-spread.ts';
import { membersOfClass } from '../../../calc/sand/sand-class-models.ts';
import type { Bed, Site } from '../../../calc/schedule/site.ts';
import {
  learnedBeds,
  lookableBeds,
  lookNotes,
  seenStates,
  siteAsLearned,
} from '../../../daemon/planning/learned-beds.ts';
import { libraryDigest } from '../../../daemon/planning/library-digest.ts';
import type { StoredLook } from '../../../daemon/site/store/looks.ts';
import { smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const NOON_MS = Date.parse('2026-07-01T12:00:00Z');

const library = memberSpread(membersOfClass('medium_open').map(({ model }) => model));
const digest = libraryDigest(library);
const membersOf = () => library;
const small = smallDay({}).site;
const [first] = small.beds;
if (first === undefined) throw new Error('the small day has lost its beds');
const sand = {
  name: 'invented',
  basis: 'class_default' as const,
  stated: null,
  className: 'medium_open',
  saturatedMmPerH: 400,
  lab: null,
};
const bed = (id: string, more: Partial<Bed> = {}): Bed => ({
  ...first,
  id,
  stage: 'germination',
  sand,
  ...more,
});
const site = (...beds: Bed[]): Site => ({ ...small, beds });

/** Members that lose more expect less to be left. */
const lossFactors = library.map(({ lossFactor }) => lossFactor);
const leftFractions = lossFactors.map((factor) => 1 - 0.8 * factor);

let lookId = 0;
const look = (more: Partial<StoredLook> = {}): StoredLook => ({
  lookId: ++lookId,
  bedId: 'a',
  seenMs: NOON_MS,
  atMs: NOON_MS,
  who: 'A. Keeper',
  stage: 'germination',
  surface: 'dry',
  coverFraction: null,
  leafMm: null,
  rootMm: null,
  probeFraction: null,
  probeDepthMm: null,
  photo: null,
  note: null,
  expected: {
    leftFraction: 0.2,
    probeLeftFraction: null,
    byMembers: { libraryDigest: digest, leftFractions, readFractions: null },
  },
  undoneMs: null,
  undoneBy: null,
  ...more,
});
const learn = (looks: StoredLook[], beds = [bed('a'), bed('b')], nowMs = NOON_MS) =>
  learnedBeds(site(...beds), looks, { membersOf, nowMs });
const meanLoss = (weights: readonly number[] | null | undefined) =>
  (weights ?? []).reduce((sum, weight, index) => sum + weight * (lossFactors[index] ?? 0), 0);
const later = (hours: number) => ({ seenMs: NOON_MS + hours * HOUR_MS });

describe('what looks teach of a bed', () => {
  it('is weights of its library, which stand in the bed: above 0, with the sum 1', () => {
    const learned = learn([look(), look(later(1)), look(later(2))]);
    const own = learned.byBed.get('a');
    expect(own).toMatchObject({ looks: 3, isTaught: true });
    expect(meanLoss(own?.weights)).toBeGreaterThan(
      1.01 * meanLoss(library.map(({ weightFraction }) => weightFraction)),
    );
    expect(own?.summary.lossChangeFraction).toBeGreaterThan(0.01);
    const weights = siteAsLearned(site(bed('a'), bed('b')), learned).beds.map(
      ({ memberWeights }) => memberWeights,
    );
    expect(weights).toEqual([own?.weights, undefined]);
    expect(Math.min(...(weights[0] ?? []))).toBeGreaterThan(0);
    expect(weights[0]?.reduce((sum, one) => sum + one, 0)).toBeCloseTo(1, 12);
  });

  it('is nothing by looks at another library, and their states count all the same', () => {
    const other = look();
    if (other.expected?.byMembers) other.expected.byMembers.libraryDigest = 'another';
    const learned = learn([other]);
    expect(learned.byBed.get('a')).toMatchObject({ weights: null, looks: 0 });
    expect(seenStates([other], learned)).toMatchObject([{ bedId: 'a', seen: { surface: 'dry' } }]);
    const older = look({
      expected: { leftFraction: 0.2, probeLeftFraction: null, byMembers: null },
    });
    expect(learn([older]).byBed.get('a')?.weights).toBeNull();
  });

  it('is nothing of a store that a person stated', () => {
    const stated = { ...sand, basis: 'stated' as const, stated: { capacityMm: 2, feedMmPerH: 0 } };
    const beds = [bed('a', { sand: stated })];
    const learned = learn([look()], beds);
    expect(learned.byBed.get('a')).toMatchObject({ weights: null, isTaught: false });
    expect(lookNotes(site(...beds), [look()], learned)).toMatchObject([{ learned: null }]);
  });

  it('leaves out looks that were taken back, older ones and surfaces where roots rule', () => {
    const one = learn([look()]).byBed.get('a')?.weights;
    const beyond = look({ seenMs: NOON_MS - 36 * DAY_MS });
    const undone = look({ ...later(-1), undoneMs: NOON_MS });
    const rooted = look({ ...later(-1), stage: 'tillering' });
    for (const other of [beyond, undone, rooted]) {
      expect(learn([other, look()]).byBed.get('a')?.weights).toEqual(one);
    }
    expect(learn([look({ ...later(-1) }), look()]).byBed.get('a')?.weights).not.toEqual(one);
  });

  it('fades until now', () => {
    const loss = (days: number) =>
      meanLoss(learn([look()], undefined, NOON_MS + days * DAY_MS).byBed.get('a')?.weights);
    expect(loss(20)).toBeLessThan(loss(0));
    expect(loss(20)).toBeGreaterThan(1);
  });

  it('at one bed hangs on the eye that other beds have shown', () => {
    const wet = leftFractions.map((left) => left + 0.35);
    const expected = {
      leftFraction: 0.5,
      probeLeftFraction: null,
      byMembers: { libraryDigest: digest, leftFractions: wet, readFractions: null },
    };
    const seenEarly = [0, 1, 2, 3, 4].map((hour) =>
      look({ ...later(-6 + hour), bedId: 'b', surface: 'lightening', expected }),
    );
    const own = look({ surface: 'lightening' });
    const alone = meanLoss(learn([own]).byBed.get('a')?.weights);
    const known = learn([...seenEarly, own]);
    expect(meanLoss(known.byBed.get('a')?.weights)).not.toBeCloseTo(alone, 4);
    // Such an eye calls a bed lightening early: the late thresholds have become the likelier.
    expect(known.eye.at(-1)).toBeGreaterThan(2 * (known.eye[0] ?? 1));
  });
});

describe('what looks say of a store at once', () => {
  it('goes by what a probe reads in each member’s own sand', () => {
    const readFractions = library.map((_, index) => index / 100);
    const probed = look({
      surface: null,
      expected: {
        leftFraction: 0.2,
        probeLeftFraction: 0.24,
        byMembers: { libraryDigest: digest, leftFractions, readFractions },
      },
    });
    expect(seenStates([probed], learn([probed]))).toMatchObject([
      { seen: { surface: null, probe: { leftFraction: 0.24, readFractions } } },
    ]);
  });
});

describe('beds worth looking at', () => {
  it('are seeded, without a stated store, and ruled by their surface', () => {
    const stated = { ...sand, basis: 'stated' as const, stated: { capacityMm: 2, feedMmPerH: 0 } };
    const unseeded = bed('d');
    const beds = [bed('a'), bed('b', { sand: stated }), bed('c', { stage: 'tillering' }), unseeded];
    expect(lookableBeds(site(...beds), [unseeded])).toEqual(['a']);
  });
});
