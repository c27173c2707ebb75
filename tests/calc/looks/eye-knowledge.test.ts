import { describe, expect, it } from 'vitest';
import { eyeOf, type LookedAtBed, learnEyes } from '../../../calc/looks/eye-knowledge.ts';
import {
  chanceOf,
  chancesByEye,
  EYE_FRACTIONS,
  type MemberLook,
  UNKNOWN_EYE,
} from '../../../calc/looks/member-look.ts';
import { weighLooks } from '../../../calc/looks/member-weights.ts';

const HOUR_MS = 3_600_000;

function look(surface: 'dark' | 'lightening', left: readonly number[], hour: number): MemberLook {
  return {
    atMs: hour * HOUR_MS,
    who: 'a keeper',
    sight: { kind: 'surface', surface },
    leftFractions: left,
    managedDepthMm: 8,
  };
}

function bed(bedId: string, looks: readonly MemberLook[]): LookedAtBed {
  return { bedId, prior: [1, 1], lossFactors: [1, 1.2], looks };
}

const meanOf = (eye: readonly number[]) =>
  eye.reduce((all, weight, index) => all + weight * (EYE_FRACTIONS[index] ?? 0), 0);

/** Two members that agree: what is seen tells of the eye alone. */
const sure = (surface: 'dark' | 'lightening', leftFraction: number, hour: number) =>
  look(surface, [leftFraction, leftFraction], hour);

describe('a person’s eye', () => {
  it('may lie anywhere from 0.15 to 0.45 before any look', () => {
    expect(EYE_FRACTIONS[0]).toBeCloseTo(0.15, 12);
    expect(EYE_FRACTIONS.at(-1)).toBeCloseTo(0.45, 12);
    const unknown = eyeOf(learnEyes([]), 'a keeper');
    expect(unknown).toHaveLength(UNKNOWN_EYE.length);
    for (const weight of unknown) expect(weight).toBeCloseTo(1 / UNKNOWN_EYE.length, 12);
    expect(meanOf(unknown)).toBeCloseTo(0.3, 12);
  });

  it('is weighed by how likely its looks are where the sand is known', () => {
    const eyes = learnEyes([bed('one', [sure('lightening', 0.4, 0)])]);
    const chances = chancesByEye({ kind: 'surface', surface: 'lightening' }, { leftFraction: 0.4 });
    const sum = chances.reduce((all, chance) => all + chanceOf(chance), 0);
    eyeOf(eyes, 'a keeper').forEach((weight, index) => {
      const chance = chances[index];
      expect(weight).toBeCloseTo(chance === undefined ? 0 : chanceOf(chance) / sum, 12);
    });
    expect(eyeOf(eyes, 'another')).toEqual(eyeOf(learnEyes([]), 'another'));
  });

  it('is the earlier, the more often a moist bed is called lightening', () => {
    const hours = [0, 1, 2, 3, 4, 5];
    const early = learnEyes([
      bed(
        'one',
        hours.map((hour) => sure('lightening', 0.4, hour)),
      ),
    ]);
    const late = learnEyes([
      bed(
        'one',
        hours.map((hour) => sure('dark', 0.2, hour)),
      ),
    ]);
    expect(meanOf(eyeOf(early, 'a keeper'))).toBeGreaterThan(0.38);
    expect(meanOf(eyeOf(late, 'a keeper'))).toBeLessThan(0.22);
  });

  it('is taken by two beds as by one where the sand is known', () => {
    const [first, second] = [sure('lightening', 0.4, 0), sure('dark', 0.3, 1)];
    const together = eyeOf(learnEyes([bed('one', [first, second])]), 'a keeper');
    const apart = eyeOf(learnEyes([bed('one', [first]), bed('other', [second])]), 'a keeper');
    apart.forEach((weight, index) => {
      expect(weight).toBeCloseTo(together[index] ?? 0, 12);
    });
  });

  it('is less surely known where the sand may explain the look', () => {
    const known = learnEyes([bed('one', [sure('lightening', 0.4, 0)])]);
    const open = learnEyes([bed('one', [look('lightening', [0.1, 0.7], 0)])]);
    const moved = (eyes: typeof known) => meanOf(eyeOf(eyes, 'a keeper')) - 0.3;
    expect(moved(known)).toBeGreaterThan(2 * Math.abs(moved(open)));
  });

  it('learned on other beds makes a lightening surface tell of a wetter or drier one', () => {
    const hours = [0, 1, 2, 3, 4, 5];
    const seen = look('lightening', [0.1, 0.4], 6);
    const weighed = (surface: 'dark' | 'lightening', left: number, bedId: string) => {
      const eyes = learnEyes([
        bed(
          bedId,
          hours.map((hour) => sure(surface, left, hour)),
        ),
      ]);
      const asked = { eyes, nowMs: 6 * HOUR_MS, managedDepthMm: 8 };
      return weighLooks(bed('one', [seen]), asked).weights;
    };
    const early = weighed('lightening', 0.4, 'other');
    const late = weighed('dark', 0.2, 'other');
    expect(early[1]).toBeGreaterThan((late[1] ?? 1) * 1.3);
    // What the bed's own looks say of the eye is not held against it a second time.
    expect(weighed('lightening', 0.4, 'one')).toEqual(weighed('dark', 0.2, 'one'));
  });

  it('keeps every threshold possible after hundreds of looks', () => {
    const beds = Array.from({ length: 40 }, (_, index) =>
      bed(
        `bed ${index}`,
        Array.from({ length: 10 }, (__, hour) => sure('lightening', 0.5, hour)),
      ),
    );
    const eye = eyeOf(learnEyes(beds), 'a keeper');
    expect(Math.max(...eye) / Math.min(...eye)).toBeCloseTo(1000, 6);
    expect(eye.reduce((all, weight) => all + weight, 0)).toBeCloseTo(1, 12);
  });

  describe('as the likelihood of its looks, the members weighed meanwhile', () => {
    const PRIOR = [0.5, 0.5];
    const halved = 34.3096 * 24;
    const first = look('lightening', [0.1, 0.7], 0);
    const second = look('dark', [0.2, 0.4], 0);
    const chancesOf = ({ sight, leftFractions }: MemberLook, member: number) =>
      chancesByEye(sight, { leftFraction: leftFractions[member] ?? 0 }).map(chanceOf);
    /** The eye by a likelihood of each threshold that is written out. */
    const expectEye = (
      looks: readonly MemberLook[],
      likelihood: (eye: number) => number,
      lossFactors = [1, 1.2],
    ) => {
      const likelihoods = EYE_FRACTIONS.map((_, eye) => likelihood(eye));
      const sum = likelihoods.reduce((all, one) => all + one, 0);
      const eye = eyeOf(learnEyes([{ ...bed('one', looks), lossFactors }]), 'a keeper');
      eye.forEach((weight, index) => {
        expect(weight).toBeCloseTo((likelihoods[index] ?? 0) / sum, 6);
      });
    };
    const byMember = (value: (member: number) => number) =>
      PRIOR.reduce((all, weight, member) => all + weight * value(member), 0);
    const at = (one: MemberLook, member: number, eye: number) => chancesOf(one, member)[eye] ?? 0;
    const atUnknown = (one: MemberLook, member: number) =>
      chancesOf(one, member).reduce((all, chance) => all + chance / EYE_FRACTIONS.length, 0);

    it('of another person’s look beside it, with an unknown eye', () => {
      expectEye([{ ...first, who: 'another' }, second], (eye) =>
        byMember((member) => atUnknown(first, member) * at(second, member, eye)),
      );
    });

    it('of an earlier look, that has faded', () => {
      const later = { ...second, atMs: halved * HOUR_MS };
      expectEye([first, later], (eye) => {
        const faded = byMember((member) => Math.sqrt(at(first, member, eye)));
        const then = byMember(
          (member) => (Math.sqrt(at(first, member, eye)) * at(second, member, eye)) / faded,
        );
        return byMember((member) => at(first, member, eye)) * then;
      });
    });

    it('of a look at another depth, which says nothing of the store', () => {
      const deeper = { ...second, atMs: HOUR_MS, managedDepthMm: 18 };
      expectEye(
        [first, deeper],
        (eye) =>
          byMember((member) => at(first, member, eye)) *
          byMember((member) => at(second, member, eye)),
        [1, 1],
      );
    });

    it('of looks within twenty minutes, the last of them', () => {
      const soon = { ...second, atMs: HOUR_MS / 4 };
      expectEye([first, soon], (eye) => byMember((member) => at(second, member, eye)));
    });
  });
});
