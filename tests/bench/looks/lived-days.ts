import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { planDigest, planDocument, standingRuns } from '../../../adapters/plan-document.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { WeatherReading, WeatherSource } from '../../../adapters/weather/source.ts';
import {
  type AppliedWater,
  referenceVerdict,
  type Verdict,
} from '../../../calc/sand/reference-column.ts';
import { copyColumn } from '../../../calc/sand/richards-column.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { workOutFollowing } from '../../../daemon/planning/follow-day.ts';
import { type LearnedBed, learnedBeds } from '../../../daemon/planning/learned-beds.ts';
import { makePlan, type WorkedOutPlan } from '../../../daemon/planning/make-plan.ts';
import {
  type PlanningContext,
  planningWeather,
} from '../../../daemon/planning/planning-context.ts';
import { predictedLook } from '../../../daemon/planning/predicted-look.ts';
import { prepareProposal } from '../../../daemon/planning/propose-plan.ts';
import { sandMembers } from '../../../daemon/planning/sand-models.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { morningOf } from '../../../daemon/site/config/morning.ts';
import { confirmPlan, planInForce } from '../../../daemon/site/gate/gate.ts';
import { siteInUseOf, useSite } from '../../../daemon/site/gate/site-changes.ts';
import { useLeeway } from '../../../daemon/site/gate/use-leeway.ts';
import { cautionsFor } from '../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase, storeVersion } from '../../../daemon/site/store/database.ts';
import { noteForetold } from '../../../daemon/site/store/forecast-record.ts';
import { addLook, everyLook } from '../../../daemon/site/store/looks.ts';
import { appliedWater } from '../season/contenders.ts';
import { BED, type SeasonCase } from '../season/season-case.ts';
import { type EyeFraction, partLeft, toldOf, wateredColumn } from './eye.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const DAY_MS = 24 * HOUR_MS;
/** When a person stands at the bed, by the site's clock. */
const LOOKS_AT = [
  { hour: 10, minute: 30 },
  { hour: 13, minute: 0 },
  { hour: 15, minute: 30 },
];
const KEEPER = 'A. Keeper (invented)';

/** Who looks; null: nobody. */
export type Person = { eyeFraction: EyeFraction; wrongFraction: number; unit: () => number } | null;

/** How the days went. */
export interface Lived {
  verdict: Verdict;
  cycles: number;
  applied: AppliedWater[];
}

/** A life in course: a column that is watered as planned, and a memory of its own. */
export interface Life {
  /** Lets the confirmed water run, and the weather go on, until an instant. */
  runTo(untilMs: number): void;
  /** Plans now and confirms it, as laid or with its leeway. */
  plan(how?: { withLeeway: boolean }): Promise<DayPlan>;
  /** Lets the daemon follow the day within the leeway of the plan in force. */
  follow(): Promise<void>;
  /** The person looks, and what is seen is logged. */
  look(): Promise<void>;
  /** What the looks so far have taught of the bed. */
  taught(): LearnedBed;
  nowMs(): number;
  result(): Lived;
  close(): void;
}

/**
 * A case to be lived as a keeper would, each plan made, confirmed and remembered by the daemon's own
 * acts in a memory of its own, the water that was confirmed run through the column, and the column
 * looked at.
 *
 * @param given.sand what the bed is planned with
 * @param given.modelsFolder where models of reports are kept
 * @param given.isSketch plans with the cycles alone, sooner
 * @param given.weather left out: the forecast is perfect, so that what differs between two lives is
 *   what the looks did
 */
export function lifeOf(
  one: SeasonCase,
  given: {
    sand: BedSand;
    person: Person;
    modelsFolder: string;
    isSketch: boolean;
    weather?: WeatherSource;
  },
): Life {
  const { sand, person, modelsFolder, isSketch } = given;
  const weather = given.weather ?? toldWeather(one, one.reading);
  const { clock, site } = one.config;
  const config: LoadedConfig = {
    ...one.config,
    dataFolder: modelsFolder,
    site: {
      ...site,
      beds: site.beds.map((bed) => ({ ...bed, sand, waterBeforeSeeding: true })),
    },
  };
  const column = copyColumn(one.column);
  const seenBed = { full: wateredColumn(one.column), limit: one.trial.limit };
  const applied: AppliedWater[] = [];
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-lived-'));
  const db = openDatabase(folder);
  let verdict: Verdict | null = null;
  let atMs = one.trial.fromMs;
  useSite(db, config);
  return {
    runTo(untilMs) {
      const inForce = planInForce(db, atMs);
      for (const { startMs, runS } of inForce === null ? [] : standingRuns(inForce)) {
        const isOwn = startMs >= atMs && startMs < untilMs;
        if (isOwn) applied.push(appliedWater(one, startMs, runS * 1000));
      }
      const stretch = referenceVerdict(
        column,
        { ...one.trial, fromMs: atMs, toMs: untilMs },
        applied,
      );
      verdict = verdict === null ? stretch : added(verdict, stretch);
      atMs = untilMs;
    },
    async plan({ withLeeway } = { withLeeway: false }) {
      const context = { db, config, weather, nowMs: atMs };
      const asked = { cause: 'person', who: KEEPER, lift: 'none' } as const;
      const stored = await makePlan(context, asked, ...(isSketch ? [() => sketched(context)] : []));
      const confirmed = confirmPlan(
        { db, clock, site: siteInUseOf(config), outputs: [], nowMs: atMs },
        {
          revision: stored.plan.revision,
          digest: stored.digest,
          who: KEEPER,
          cautions: cautionsFor(stored.plan).map(({ code }) => code),
          leewayBedIds: withLeeway
            ? (stored.plan.leeway?.beds.map(({ bedId }) => bedId) ?? null)
            : null,
        },
      );
      if (!confirmed.ok) throw new Error(confirmed.refusal.code);
      if (withLeeway) await noteDay(context);
      return stored.plan;
    },
    async follow() {
      const followed = await workOutFollowing({ db, config, weather, nowMs: atMs });
      if (followed === null || followed.change === null) return;
      const used = useLeeway(
        { db, clock, outputs: [], nowMs: atMs, isLet: true, stretches: [], sayUses: () => '' },
        followed.change,
      );
      if (!used.ok) throw new Error(used.refusal.code);
    },
    async look() {
      if (person === null) return;
      const demand = one.trial.hours.find((hour) => hour.startMs + HOUR_MS > atMs)?.demandMmPerH;
      const surface = toldOf(partLeft(column, seenBed, demand ?? 0), person, person.unit);
      const seen = { ...NOTHING, bedId: BED, seenMs: atMs, surface };
      const expected = await predictedLook({ db, config, weather, nowMs: atMs }, seen);
      addLook(db, { ...seen, atMs, who: KEEPER, stage: 'germination', expected });
    },
    taught() {
      const ground = { membersOf: sandMembers(modelsFolder), nowMs: atMs };
      const bed = learnedBeds(config.site, everyLook(db), ground).byBed.get(BED);
      if (bed === undefined) throw new Error('the bed is not among those that looks taught');
      return bed;
    },
    nowMs: () => atMs,
    result() {
      if (verdict === null) throw new Error('no day was lived');
      return { verdict, cycles: applied.length, applied };
    },
    close() {
      db.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Times of the clock at which a person stands at the bed on a day, ms. */
export function clockTimes({ config }: SeasonCase, day: SiteDay): number[] {
  const [year, month, dayOfMonth] = day.split('-').map(Number) as [number, number, number];
  return LOOKS_AT.map((at) => config.clock.instantOf({ year, month, day: dayOfMonth, ...at }));
}

/**
 * The days of a case: a plan in the morning and after each of three looks at fixed times; without a
 * person the same plans, and nobody looks.
 *
 * @param given.planAfterMin minutes from a look to the plan made and confirmed on it, also where nobody
 *   looks; null: the morning's plan stands all day
 * @returns with the plan of each morning
 */
export async function livedDays(
  one: SeasonCase,
  given: {
    sand: BedSand;
    person: Person;
    modelsFolder: string;
    weather?: WeatherSource;
    planAfterMin?: number | null;
    /** Minutes between two looks of the daemon at a day that is followed within its leeway; left out: as laid. */
    followEveryMin?: number | null;
  },
): Promise<Lived & { mornings: DayPlan[] }> {
  const { planAfterMin = 0, followEveryMin = null } = given;
  const life = lifeOf(one, { ...given, isSketch: true });
  const mornings: DayPlan[] = [];
  try {
    for (const day of one.days) {
      life.runTo(morningOf(day, { ...one.config, ...one.config.site }));
      mornings.push(await life.plan({ withLeeway: followEveryMin !== null }));
      for (const atMs of clockTimes(one, day)) {
        await followTo(life, atMs, followEveryMin);
        await life.look();
        if (followEveryMin !== null) await life.follow();
        if (planAfterMin === null) continue;
        life.runTo(atMs + planAfterMin * MIN_MS);
        await life.plan();
      }
      const evening = one.config.clock.addDays(day, 1);
      const endMs = one.config.clock.startOf(evening) - FOLLOWED_UNTIL_MS;
      await followTo(life, Math.min(endMs, one.trial.toMs), followEveryMin);
    }
    life.runTo(one.trial.toMs);
    return { ...life.result(), mornings };
  } finally {
    life.close();
  }
}

/** Before midnight nothing more is followed: water is over. */
const FOLLOWED_UNTIL_MS = 4 * HOUR_MS;

async function followTo(life: Life, untilMs: number, everyMin: number | null): Promise<void> {
  if (everyMin === null) return life.runTo(untilMs);
  for (let ms = life.nowMs() + everyMin * MIN_MS; ms < untilMs; ms += everyMin * MIN_MS) {
    life.runTo(ms);
    await life.follow();
  }
  life.runTo(untilMs);
}

/** Notes what is foretold of the day, as the daemon does hour by hour. */
async function noteDay({ db, config, weather, nowMs }: PlanningContext): Promise<void> {
  const { clock, site } = config;
  const dayStartMs = clock.startOf(clock.siteDayOf(nowMs));
  const span = { fromMs: nowMs, toMs: nowMs + DAY_MS, nowMs, dayStartMs };
  const { hours } = await planningWeather(weather, site, span);
  const foretold = hours.filter(({ origin }) => origin === 'forecast');
  noteForetold(db, { hours: foretold, toldMs: nowMs });
}

/** The plan without what would help and the answers to the wind: the same cycles, sooner. */
async function sketched(context: PlanningContext): Promise<WorkedOutPlan> {
  const version = storeVersion(context.db);
  const proposal = (await prepareProposal(context, { lift: 'none', isSketch: true }))();
  const digest = planDigest(planDocument(proposal.plan, context.config.clock));
  return { ...proposal, reasons: [], digest, version };
}

const NOTHING = {
  coverFraction: null,
  leafMm: null,
  rootMm: null,
  probeFraction: null,
  probeDepthMm: null,
  photo: null,
  note: null,
};

/**
 * A source that tells what was measured, and of the hours to come what was foretold of them.
 *
 * @param foretold the case's own reading: a perfect forecast; null: nothing is foretold
 */
export function toldWeather(
  { reading, trial }: SeasonCase,
  foretold: WeatherReading | null,
): WeatherSource {
  // Plans read some days before their own.
  const near = (of: WeatherReading) =>
    of.hours.filter(
      ({ startMs }) => startMs >= trial.fromMs - 8 * DAY_MS && startMs < trial.toMs + 4 * DAY_MS,
    );
  const measured = near(reading).map((hour) => ({ ...hour, origin: 'observed' as const }));
  const said = foretold === null ? [] : near(foretold);
  const toCome = said.map((hour) => ({ ...hour, origin: 'forecast' as const }));
  return {
    kind: 'told',
    async read({ fromMs, toMs, nowMs }) {
      const hours = [
        ...measured.filter(({ startMs }) => startMs < nowMs),
        ...toCome.filter(({ startMs }) => startMs >= nowMs),
      ].filter(({ startMs }) => startMs >= fromMs && startMs < toMs);
      return { source: 'the weather as told', hours, asOfMs: nowMs, problems: [] };
    },
  };
}

/** Two stretches, one after the other. */
function added(first: Verdict, then: Verdict): Verdict {
  const sum = (name: keyof Omit<Verdict, 'firstDryMs'>) => first[name] + then[name];
  return {
    lossMm: sum('lossMm'),
    evaporatedMm: sum('evaporatedMm'),
    netMm: sum('netMm'),
    rainMm: sum('rainMm'),
    belowSeedLayerMm: sum('belowSeedLayerMm'),
    drainedMm: sum('drainedMm'),
    runoffMm: sum('runoffMm'),
    daylightMin: sum('daylightMin'),
    dryMin: sum('dryMin'),
    pondedMin: sum('pondedMin'),
    firstDryMs: first.firstDryMs ?? then.firstDryMs,
  };
}
