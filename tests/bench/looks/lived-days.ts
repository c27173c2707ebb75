import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { planDigest, planDocument, standingRuns } from '../../../adapters/plan-document.ts';
import type { WeatherReading, WeatherSource } from '../../../adapters/weather/source.ts';
import {
  type AppliedWater,
  referenceVerdict,
  type Verdict,
} from '../../../calc/sand/reference-column.ts';
import { copyColumn } from '../../../calc/sand/richards-column.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { makePlan, type WorkedOutPlan } from '../../../daemon/planning/make-plan.ts';
import type { PlanningContext } from '../../../daemon/planning/planning-context.ts';
import { predictedLook } from '../../../daemon/planning/predicted-look.ts';
import { prepareProposal } from '../../../daemon/planning/propose-plan.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { morningOf } from '../../../daemon/site/config/morning.ts';
import { confirmPlan, planInForce } from '../../../daemon/site/gate/gate.ts';
import { siteInUseOf, useSite } from '../../../daemon/site/gate/site-changes.ts';
import { cautionsFor } from '../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase, storeVersion } from '../../../daemon/site/store/database.ts';
import { addLook } from '../../../daemon/site/store/looks.ts';
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
  /** The plan of each morning. */
  mornings: DayPlan[];
}

/**
 * The days of a case, lived as a keeper would: a plan in the morning and after each look, each made,
 * confirmed and remembered by the daemon's own acts in a memory of its own, the water that was
 * confirmed run through the column, and the column looked at.
 *
 * @param life.sand what the bed is planned with
 * @param life.modelsFolder where models of reports are kept
 * @param life.weather left out: the forecast is perfect, so that what differs between two lives is
 *   what the looks did
 * @param life.planAfterMin minutes from a look to the plan made and confirmed on it, also where nobody
 *   looks; null: the morning's plan stands all day
 */
export async function livedDays(
  one: SeasonCase,
  life: {
    sand: BedSand;
    person: Person;
    modelsFolder: string;
    weather?: WeatherSource;
    planAfterMin?: number | null;
  },
): Promise<Lived> {
  const { sand, person, modelsFolder, planAfterMin = 0 } = life;
  const weather = life.weather ?? toldWeather(one, one.reading);
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
  const mornings: DayPlan[] = [];
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-lived-'));
  const db = openDatabase(folder);
  let verdict: Verdict | null = null;
  let atMs = one.trial.fromMs;
  try {
    useSite(db, config);
    const runTo = (untilMs: number) => {
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
    };
    const plan = async () => {
      const context = { db, config, weather, nowMs: atMs };
      const asked = { cause: 'person', who: KEEPER, lift: 'none' } as const;
      const stored = await makePlan(context, asked, () => sketched(context));
      const confirmed = confirmPlan(
        { db, clock, site: siteInUseOf(config), outputs: [], nowMs: atMs },
        {
          revision: stored.plan.revision,
          digest: stored.digest,
          who: KEEPER,
          cautions: cautionsFor(stored.plan).map(({ code }) => code),
        },
      );
      if (!confirmed.ok) throw new Error(confirmed.refusal.code);
      return stored.plan;
    };
    const look = async () => {
      if (person === null) return;
      const demand = one.trial.hours.find((hour) => hour.startMs + HOUR_MS > atMs)?.demandMmPerH;
      const surface = toldOf(partLeft(column, seenBed, demand ?? 0), person, person.unit);
      const seen = { ...NOTHING, bedId: BED, seenMs: atMs, surface };
      const expected = await predictedLook({ db, config, weather, nowMs: atMs }, seen);
      addLook(db, { ...seen, atMs, who: KEEPER, stage: 'germination', expected });
    };
    for (const day of one.days) {
      runTo(morningOf(day, { ...config, ...site }));
      mornings.push(await plan());
      const [year, month, dayOfMonth] = day.split('-').map(Number) as [number, number, number];
      for (const at of LOOKS_AT) {
        runTo(clock.instantOf({ year, month, day: dayOfMonth, ...at }));
        await look();
        if (planAfterMin === null) continue;
        runTo(atMs + planAfterMin * MIN_MS);
        await plan();
      }
    }
    runTo(one.trial.toMs);
  } finally {
    db.close();
    rmSync(folder, { recursive: true, force: true });
  }
  if (verdict === null) throw new Error('no day was lived');
  return { verdict, cycles: applied.length, applied, mornings };
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
