import { connectAsync, type MqttClient } from 'mqtt';
import type { Run } from '../../calc/schedule/run.ts';
import { makePlan } from '../../daemon/planning/make-plan.ts';
import type { LoadedConfig } from '../../daemon/site/config/config.ts';
import { openWeather } from '../../daemon/site/config/open-weather.ts';
import { confirmPlan, holdWater } from '../../daemon/site/gate/gate.ts';
import { siteInUseOf } from '../../daemon/site/gate/site-changes.ts';
import { useLeeway } from '../../daemon/site/gate/use-leeway.ts';
import { ALL_CAUTIONS } from '../../daemon/site/gate/valid-confirm.ts';
import { confirmedCycles } from '../../daemon/site/gate/within-leeway.ts';
import type { Db } from '../../daemon/site/store/database.ts';
import { newestLeewayUse } from '../../daemon/site/store/leeway-uses.ts';
import { newestConfirmation, newestPlan } from '../../daemon/site/store/plans.ts';
import { account } from './simulation/account.ts';
import { type LogKeeper, logKeeper } from './simulation/log-keeper.ts';
import type { random } from './simulation/random.ts';

const MIN_MS = 60_000;

/** An order as it came over the broker. */
interface Order {
  order_id: string;
  runs: { bed_id: string; station_id: string; start: string; run_s: number }[];
}

/** People who confirm, hold and plan beside a daemon, and a receiver that writes down every order. */
export interface Persons {
  /** One action, or none. */
  act(): Promise<void>;
  /** Hears the orders on a broker. */
  listen(url: string): Promise<MqttClient>;
  /** Takes in what was added to the store. */
  look(): void;
  /** Compares the last order with what should be to come, and the rows with those seen. */
  judge(): void;
  readonly counts: Readonly<Record<string, number>>;
  readonly keeper: LogKeeper;
}

export function personsAt(given: {
  db: Db;
  config: LoadedConfig;
  rng: ReturnType<typeof random>;
  broken(what: string): void;
}): Persons {
  const { db, config, rng, broken } = given;
  const weather = openWeather(config);
  const persons = account(broken, 'heard');
  const keeper = logKeeper(db);
  const contents = new Map<string, string>();
  const counts = { orders: 0, 'orders again': 0, confirms: 0, holds: 0, plans: 0, changes: 0 };
  let last: Order | null = null;
  let event = 0;

  const noteUses = () => persons.noteUses(db, { event, nowMs: Date.now(), measuredMs: Date.now() });

  /** What a look at the day may come to: the last cycle some minutes later. */
  const follow = () => {
    const inForce = newestConfirmation(db);
    if (inForce?.leewayBedIds == null) return;
    const { confirmationId, stored, atMs } = inForce;
    const newest = newestLeewayUse(db, confirmationId);
    const cycles = newest?.cycles ?? confirmedCycles({ plan: stored.plan, confirmedMs: atMs });
    const last = cycles.toSorted((a, b) => a.startMs - b.startMs).at(-1);
    if (last === undefined) return;
    const byMs = (rng.chance(0.5) ? 1 : -1) * MIN_MS;
    const moved = {
      ...last,
      startMs: last.startMs + byMs,
      endMs: last.endMs + byMs,
      runs: last.runs.map((run) => ({ ...run, startMs: run.startMs + byMs })),
    };
    const result = useLeeway(
      { ...gate(), isLet: true, stretches: [], sayUses: () => 'tried' },
      {
        confirmationId,
        afterNumber: newest?.number ?? 0,
        cycles: cycles.map((one) => (one === last ? moved : one)),
        measuredMs: Date.now(),
        dryBedIds: [],
      },
    );
    if (result.ok) counts.changes += 1;
    noteUses();
  };

  const hear = (payload: Uint8Array) => {
    const order = JSON.parse(Buffer.from(payload).toString('utf8')) as Order;
    last = order;
    const content = JSON.stringify(order.runs);
    const before = contents.get(order.order_id);
    counts[before === undefined ? 'orders' : 'orders again'] += 1;
    if (before !== undefined && before !== content) {
      broken(`order ${order.order_id} came again with other runs`);
    }
    contents.set(order.order_id, content);
    const runs = order.runs.map(runOf);
    noteUses();
    persons.arrived({ output: 'mqtt', orderId: order.order_id, runs, nowMs: Date.now() });
  };
  const gate = () => ({
    db,
    clock: config.clock,
    site: siteInUseOf(config),
    outputs: ['mqtt'],
    nowMs: Date.now(),
  });

  return {
    counts,
    keeper,
    async listen(url) {
      const client = await connectAsync(url, { protocolVersion: 5, reconnectPeriod: 100 });
      client.on('message', (_, payload) => hear(payload));
      await client.subscribeAsync('dewbeat/+/plan', { qos: 1 });
      return client;
    },
    async act() {
      event += 1;
      persons.notePlans(db, event);
      const what = rng.weighted({ confirm: 5, follow: 4, hold: 2, plan: 2, lift: 2, nothing: 2 });
      if (what === 'follow') follow();
      const newest = newestPlan(db);
      if (what === 'hold') {
        const beds = rng.chance(0.5) ? ('all' as const) : [rng.pick(config.site.beds).id];
        const asking = { who: 'Person 1 (invented)', why: 'tried', beds, untilMs: null };
        const { holdId } = holdWater(gate(), asking);
        persons.held(holdId, beds, event);
        counts.holds += 1;
      }
      if (what === 'confirm' && newest !== null) {
        const request = {
          revision: newest.plan.revision,
          digest: newest.digest,
          who: 'Person 2 (invented)',
          cautions: ALL_CAUTIONS.map(({ code }) => code),
          leewayBedIds: newest.plan.leeway?.beds.map(({ bedId }) => bedId) ?? null,
        };
        const nowMs = Date.now();
        const result = confirmPlan({ ...gate(), nowMs }, request);
        if (result.ok) {
          persons.confirmed(newest, request, { event, nowMs });
          counts.confirms += 1;
        }
      }
      if (what === 'plan' || what === 'lift') {
        const lift = what === 'lift' ? 'all' : 'none';
        await makePlan(
          { db, config, weather, nowMs: Date.now() },
          { cause: 'person', who: 'Person 1 (invented)', lift },
        );
        counts.plans += 1;
      }
      persons.notePlans(db, event);
      keeper.look();
    },
    look() {
      persons.notePlans(db, event);
      keeper.look();
    },
    judge() {
      const wanted = persons.expected(Date.now()).map(keyOf).sort();
      const has = (last?.runs ?? [])
        .map(runOf)
        .filter((run) => run.startMs >= Date.now())
        .map(keyOf)
        .sort();
      if (JSON.stringify(wanted) !== JSON.stringify(has)) {
        broken(`at the end ${has.length} runs are to come, ${wanted.length} should be`);
      }
      for (const { day, mornings } of morningsOf(db)) {
        if (mornings !== 1) broken(`${day}: ${mornings} morning plans`);
      }
      for (const row of keeper.judge()) broken(row);
    },
  };
}

function runOf(run: Order['runs'][number]): Run {
  return {
    bedId: run.bed_id,
    stationId: run.station_id,
    startMs: Date.parse(run.start),
    runS: run.run_s,
    rotations: 0,
    grossMm: 0,
    netMm: 0,
    cycle: 0,
  };
}

function keyOf(run: Pick<Run, 'stationId' | 'startMs' | 'runS'>): string {
  return `${run.stationId} ${Math.round(run.startMs / 1000)} ${Math.round(run.runS)}`;
}

function morningsOf(db: Db): { day: string; mornings: number }[] {
  return db
    .prepare(
      "SELECT site_day AS day, sum(cause = 'morning') AS mornings FROM plan GROUP BY site_day ORDER BY site_day",
    )
    .all() as { day: string; mornings: number }[];
}
