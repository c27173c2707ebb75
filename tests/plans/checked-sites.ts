import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import { bedDryness, isRounding } from './avoidable.ts';
import { falseClaims } from './claims.ts';
import { dayFacts } from './day-facts.ts';
import { inventedDay, type SiteSpan } from './invented-day.ts';
import { clock, limitBreaches } from './limit-breaches.ts';

/** What was found on many invented sites. */
export interface Checked {
  sites: number;
  beds: number;
  cycles: number;
  breaches: Map<string, number>;
  dryMin: number;
  avoidableMin: number;
  avoidableSites: number;
  /** What moves would save that are finer than the steps of the store. */
  roundedMin: number;
  leftOut: number;
  /** Dry beds without any water, a free start or none. */
  dryAllDay: number;
  claims: number;
  falseClaims: Map<string, number>;
  worst: { seed: number; avoidableMin: number } | null;
}

/** Plans invented sites, one a seed, and judges each plan. */
export function checkedSites(asked: {
  sites: number;
  seed: number;
  span?: SiteSpan;
  tell(line: string): void;
  change?(input: DayPlanInput): DayPlanInput;
}): Checked {
  const { tell } = asked;
  const sum: Checked = {
    sites: 0,
    beds: 0,
    cycles: 0,
    breaches: new Map(),
    dryMin: 0,
    avoidableMin: 0,
    avoidableSites: 0,
    roundedMin: 0,
    leftOut: 0,
    dryAllDay: 0,
    claims: 0,
    falseClaims: new Map(),
    worst: null,
  };
  const count = (counts: Map<string, number>, kind: string) =>
    counts.set(kind, (counts.get(kind) ?? 0) + 1);
  for (let seed = asked.seed; seed < asked.seed + asked.sites; seed++) {
    const input = inventedDay(seed, asked.span);
    const plan = planDay(input);
    const day = dayFacts(input, plan);
    sum.sites += 1;
    sum.beds += day.beds.length;
    for (const { kind, at } of limitBreaches(day)) {
      count(sum.breaches, kind);
      tell(`site ${seed}: ${kind} broken, ${at}`);
    }
    let avoidableMin = 0;
    for (const facts of day.beds) {
      const dryness = bedDryness(day, facts);
      sum.cycles += dryness.cycles;
      sum.dryMin += dryness.dryMin;
      if (dryness.dryMin > 0 && dryness.cycles === 0) sum.dryAllDay += 1;
      if (dryness.isLeftOut) sum.leftOut += 1;
      const { avoidable } = dryness;
      if (avoidable === null) continue;
      if (isRounding(avoidable)) {
        sum.roundedMin += avoidable.savedMin;
        continue;
      }
      avoidableMin += avoidable.savedMin;
      tell(
        `site ${seed}: ${dryness.bedId} dry ${dryness.dryMin} min with ${dryness.cycles} cycles, ${avoidable.savedMin} avoidable: ${avoidable.how} at ${clock(day, avoidable.startMs)}, ${avoidable.rotations} rotations`,
      );
    }
    sum.avoidableMin += avoidableMin;
    if (avoidableMin > 0) sum.avoidableSites += 1;
    if (avoidableMin > (sum.worst?.avoidableMin ?? 0)) sum.worst = { seed, avoidableMin };
    const claims = falseClaims(day);
    sum.claims += claims.told;
    for (const { kind, at } of claims.wrong) {
      count(sum.falseClaims, kind);
      tell(`site ${seed}: ${kind} is not so, ${at}`);
    }
  }
  return sum;
}

/** The findings, line by line. */
export function sayChecked(checked: Checked): string[] {
  const kinds = (counts: Map<string, number>) =>
    [...counts].sort(([a], [b]) => (a < b ? -1 : 1)).map(([kind, count]) => `  ${kind}: ${count}`);
  const worst = checked.worst;
  return [
    `${checked.sites} invented sites, ${checked.beds} beds, ${checked.cycles} cycles`,
    `limits broken: ${total(checked.breaches)}`,
    ...kinds(checked.breaches),
    `dry: ${checked.dryMin} bed-minutes, ${checked.avoidableMin} of them avoidable, on ${checked.avoidableSites} sites; ${checked.roundedMin} by rounding of a step`,
    ...(worst === null ? [] : [`  worst: site ${worst.seed}, ${worst.avoidableMin} min avoidable`]),
    `dry without water all day: ${checked.dryAllDay} beds, ${checked.leftOut} of them with a free start`,
    `claims: ${checked.claims}, of them not so: ${total(checked.falseClaims)}`,
    ...kinds(checked.falseClaims),
  ];
}

function total(counts: Map<string, number>): number {
  return [...counts.values()].reduce((sum, count) => sum + count, 0);
}
