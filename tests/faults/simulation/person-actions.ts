import type { WeatherSource } from '../../../adapters/weather/source.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { makePlan } from '../../../daemon/planning/make-plan.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import type { Guard } from '../../../daemon/site/gate/judge-confirm.ts';
import { siteInUseOf } from '../../../daemon/site/gate/site-changes.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import type { Db } from '../../../daemon/site/store/database.ts';
import { newestPlan } from '../../../daemon/site/store/plans.ts';
import type { Account } from './account.ts';
import { Crash, faultyDatabase, noFaults } from './faulty-database.ts';
import type { Random } from './random.ts';
import { OUTPUTS } from './small-site.ts';

const MIN_MS = 60_000;

/** What the two persons of a history do, each in a process of their own that may die as well. */
export interface PersonActions {
  /** Person `who` reads the newest plan, and may act on that reading much later. */
  read(who: number): void;
  confirm(who: number): Promise<void>;
  hold(): Promise<void>;
  plan(lift: 'none' | 'all'): Promise<void>;
}

export function personActions(given: {
  real: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  rng: Random;
  persons: Account;
  guards: readonly Guard[] | undefined;
  now(): number;
  event(): number;
  isDiskFull(): boolean;
  tell(what: string): void;
  count(what: string): void;
  breaks(what: string): void;
}): PersonActions {
  const { real, config, weather, rng, persons, guards } = given;
  const { now, event, isDiskFull, tell, count, breaks } = given;
  const { clock } = config;
  const site = siteInUseOf(config);
  const act = async (name: string, work: (db: Db) => Promise<void> | void) => {
    const own = { ...noFaults(), isDiskFull: isDiskFull() };
    if (rng.chance(0.04)) own.writesToCrash = rng.whole(1, 8);
    count(name);
    try {
      await work(faultyDatabase(real, own));
    } catch (error) {
      tell(`${name} fails: ${error instanceof Error ? error.message : String(error)}`);
      if (!(error instanceof Crash) && !own.isDiskFull && !isNamed(error, 'NoWeather')) {
        breaks(`${name}: ${error instanceof Error ? error.message : String(error)}`);
      }
    }
    persons.notePlans(real, event());
  };

  const gate = (db: Db) => ({ db, clock, site, outputs: OUTPUTS, nowMs: now(), guards });
  const readBy: ({ revision: number; digest: string } | null)[] = [null, null];
  const confirm = (who: number) =>
    act('confirm', (db) => {
      const read = readBy[who] ?? null;
      if (read === null) return;
      const cautions = CAUTIONS.map((caution) => caution.code).filter(() => !rng.chance(0.03));
      // A slip: the number is that of the plan on the wall, the digest that of what was read.
      const slips = rng.chance(0.1);
      const request = {
        digest: read.digest,
        revision: slips ? (newestPlan(real)?.plan.revision ?? 0) : read.revision,
        who: rng.chance(0.02) ? ' ' : `Person ${who + 1} (invented)`,
        cautions,
        leewayBedIds: leewayOf(newestPlan(real)?.plan),
      };
      const before = confirmedPlans(real);
      const settle = () => {
        // A person whose command dies after its commit does not know; the store does.
        const [planId] = confirmedPlans(real).filter((one) => !before.includes(one));
        const stored = newestPlan(real);
        if (planId === undefined || stored === null) return;
        persons.confirmed(stored, request, { event: event(), nowMs: now() });
        count('confirmed');
      };
      try {
        const result = confirmPlan(gate(db), request);
        tell(`confirm: ${result.ok ? result.orderId : result.refusal.code}`);
        if (!result.ok) count('refused');
      } finally {
        settle();
      }
    });
  /** With its leeway oftener than as laid; now and then without one of the beds. */
  const leewayOf = (plan: DayPlan | undefined) => {
    if (plan?.leeway === undefined || rng.chance(0.3)) return null;
    const ids = plan.leeway.beds.map(({ bedId }) => bedId);
    return rng.chance(0.2) ? ids.slice(1) : ids;
  };
  const hold = () =>
    act('hold', (db) => {
      const beds = rng.chance(0.5) ? ('all' as const) : [rng.pick(config.site.beds).id];
      const untilMs = rng.chance(0.3) ? now() + rng.whole(10, 240) * MIN_MS : null;
      const before = holdIds(real);
      try {
        holdWater(gate(db), { who: 'Person 1 (invented)', why: 'simulated', beds, untilMs });
      } finally {
        for (const holdId of holdIds(real)) {
          if (!before.includes(holdId)) persons.held(holdId, beds, event());
        }
      }
    });
  const plan = (lift: 'none' | 'all') =>
    act('plan', async (db) => {
      await makePlan(
        { db, config, weather, nowMs: now() },
        { cause: 'person', who: 'Person 2 (invented)', lift },
      );
    });

  return {
    read(who) {
      const newest = newestPlan(real);
      readBy[who] = newest && { revision: newest.plan.revision, digest: newest.digest };
    },
    confirm,
    hold,
    plan,
  };
}

function isNamed(error: unknown, name: string): boolean {
  return error instanceof Error && error.name === name;
}

function confirmedPlans(db: Db): number[] {
  const rows = db.prepare('SELECT plan_id AS planId FROM confirmation').all() as {
    planId: number;
  }[];
  return rows.map((row) => row.planId);
}

function holdIds(db: Db): number[] {
  const rows = db.prepare('SELECT hold_id AS holdId FROM hold').all() as { holdId: number }[];
  return rows.map((row) => row.holdId);
}
