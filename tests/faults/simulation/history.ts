import { createHash } from 'node:crypto';
import { setImmediate } from 'node:timers/promises';
import pino from 'pino';
import type { Output, StoppableOutput } from '../../../adapters/contract.ts';
import { stoppable } from '../../../adapters/outputs/stoppable.ts';
import type { Timers } from '../../../adapters/outputs/timers.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { type UnwrittenHolds, writeHolds } from '../../../daemon/delivery/delivery-memory.ts';
import { stopDispatcher } from '../../../daemon/delivery/stop-now.ts';
import type { Job } from '../../../daemon/service/jobs/job.ts';
import { jobsOf } from '../../../daemon/service/jobs/list.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { morningOf } from '../../../daemon/site/config/morning.ts';
import type { Guard } from '../../../daemon/site/gate/judge-confirm.ts';
import type { Db } from '../../../daemon/site/store/database.ts';
import { addFieldReport } from '../../../daemon/site/store/field-reports.ts';
import { account } from './account.ts';
import { type Faults, faultyDatabase, noFaults } from './faulty-database.ts';
import { FOLLOWING, type LeewayMutant, mutantFollowing } from './leeway-mutants.ts';
import { logKeeper } from './log-keeper.ts';
import { personActions } from './person-actions.ts';
import { type Random, random } from './random.ts';
import { type Network, type Receiver, receiver, type Tampering } from './receiver.ts';
import { inventedWeather, OUTPUTS } from './small-site.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;

/** What became of a history. */
export interface HistoryResult {
  seed: number;
  /** Over everything that happened, in order: the same seed gives the same. */
  hash: string;
  /** Promises that were broken; none when all is well. */
  broken: string[];
  counts: Record<string, number>;
}

/** Days on which histories begin: a plain one, and those around both clock changes. */
const FIRST_DAYS = ['2026-07-01', '2026-03-07', '2026-10-31'] as SiteDay[];

/** How long all goes well at the end, so that what is owed can leave. */
const CALM_MIN = 12;

/**
 * Lives through a day or two of a site with everything going wrong that the seed asks for: people
 * act, messages are lost or doubled, processes die between two writes, the disk fills, clocks are
 * stepped, the power goes. Then all is well for some minutes, and the promises are looked at.
 *
 * @param given.db A fresh database, the history's own.
 * @param given.guards The gate's guards: a mutant leaves one out.
 * @param given.stopMutant What is wrong with the stop; left out: nothing.
 * @param given.leewayMutant What is wrong with how a day is followed; left out: nothing.
 */
export async function runHistory(given: {
  seed: number;
  config: LoadedConfig;
  db: Db;
  guards?: readonly Guard[];
  stopMutant?: StopMutant | undefined;
  leewayMutant?: LeewayMutant | undefined;
}): Promise<HistoryResult> {
  const { seed, config, db: real, guards, stopMutant, leewayMutant } = given;
  const rng = random(seed);
  const { clock } = config;
  const hash = createHash('sha256');
  const broken: string[] = [];
  const counts: Record<string, number> = {};
  const count = (what: string) => {
    counts[what] = (counts[what] ?? 0) + 1;
  };
  const breaks = (what: string) => {
    if (broken.length < 20) broken.push(what);
  };

  const firstDay = rng.pick(FIRST_DAYS);
  let trueMs = clock.startOf(firstDay) + rng.whole(0, 5 * 60) * MIN_MS;
  const endMs = trueMs + rng.whole(22, 30) * HOUR_MS;
  let skewMs = 0;
  let powerBackMs = 0;
  let event = 0;
  let passedTo = trueMs;
  const now = () => trueMs + skewMs;
  const tell = (what: string) => hash.update(`${event} ${now()} ${what}\n`);

  const hotterSeed = rng.next();
  // A day on which hardly anybody stops water or asks for plans: it is followed for long.
  const events = rng.chance(0.5) ? EVENTS : FEW_ACTS;
  /** When the site's station fell silent; infinite while it speaks. */
  let silentMs = rng.chance(0.5) ? trueMs : Number.POSITIVE_INFINITY;
  const hotterK = (startMs: number) => 8 * Math.sin(startMs / (7 * HOUR_MS) + hotterSeed);
  const weather = inventedWeather(hotterK, () => silentMs);
  const persons = account(breaks);
  const keeper = logKeeper(real);
  /** Before what a change has led to is looked at. */
  const noteUses = () =>
    persons.noteUses(real, { event, nowMs: now(), measuredMs: Math.min(now(), silentMs) });
  const begun = new Map<string, string>();
  const receivers: Receiver[] = OUTPUTS.map((name) =>
    receiver({
      name,
      random: rng,
      trueMs: () => trueMs,
      broken: breaks,
      told({ orderId, runs, isRepeat }) {
        tell(`${name} hears ${orderId}${isRepeat ? ' again' : ''}, ${runs.length} runs`);
        count(isRepeat ? 'messages again' : 'messages');
        noteUses();
        persons.arrived({ output: name, orderId, runs, nowMs: now() });
      },
    }),
  );

  let faults: Faults = noFaults();
  let jobs: Job[] = [];
  const timers = steeredTimers(() => trueMs);
  let outputs: StoppableOutput[] = [];
  let unwrittenHolds: UnwrittenHolds = [];
  let troubledMs = Number.NEGATIVE_INFINITY;
  const calmMornings = new Set<string>();
  const bootUp = () => {
    const isDiskFull = faults.isDiskFull;
    faults = { ...noFaults(), isDiskFull };
    // What the process knew is gone with it: stops that were not written, and what it last put out.
    for (const output of outputs) void output.stop();
    unwrittenHolds = [];
    outputs = receivers.map((one) => {
      const output = stopMutant === 'no read-back' ? believesItself(one) : one;
      return stoppable(output, { siteId: config.site.id, clock, timers: timers.timers });
    });
    const parts = {
      config,
      db: faultyDatabase(real, faults),
      weather,
      log: pino({ level: 'silent' }),
      now,
      // Power cuts and stepped clocks are told apart by it.
      steadyMs: () => trueMs,
      outputs: new Map(outputs.map((one) => [one.name, one])),
      unwrittenHolds,
    };
    jobs = jobsOf(parts).map((job) =>
      job.name === FOLLOWING && leewayMutant !== undefined
        ? mutantFollowing(leewayMutant, { ...parts, weather: inventedWeather(hotterK) })
        : job,
    );
    tell('the daemon starts');
    count('starts');
  };
  bootUp();

  const wake = async () => {
    if (trueMs < powerBackMs) return;
    const refused = faults.refused;
    let isWell = true;
    for (const { name, work } of jobs) {
      // The others look ahead: they change nothing that was promised, and take most of the time.
      if (!ALWAYS_AWAKE.has(name) && !rng.chance(0.3)) continue;
      try {
        await work();
      } catch (error) {
        isWell = false;
        tell(`${name} fails: ${error instanceof Error ? error.message : String(error)}`);
        if (faults.isDead) break;
      }
    }
    persons.notePlans(real, event);
    persons.noteOwnHolds(real, event);
    noteUses();
    if (faults.isDead) {
      count('crashes');
      bootUp();
    }
    if (!isWell || faults.refused > refused) troubledMs = trueMs;
    const day = clock.siteDayOf(now());
    const isOwed = now() >= morningOf(day, { ...config, ...config.site });
    if (isOwed && trueMs - troubledMs > 3 * MIN_MS) calmMornings.add(day);
  };

  const pass = async (ms: number) => {
    await timers.runTo(trueMs + ms, (atMs) => {
      trueMs = Math.max(trueMs, atMs);
    });
    trueMs = Math.max(trueMs, passedTo + ms);
    passedTo = trueMs;
    for (const [index, one] of receivers.entries()) {
      for (const { run, orderId } of one.passTo(trueMs)) {
        tell(`${one.name} begins ${run.stationId} for ${orderId}`);
        if (index > 0) continue;
        const key = `${run.stationId} ${run.startMs}`;
        if (begun.has(key)) breaks(`${one.name}: ${key} was begun twice`);
        begun.set(key, orderId);
        count('runs begun');
        reportRan(run, one.name);
      }
    }
  };
  /** A person stops water at the page: past the store, and told output by output what is true. */
  const stop = async () => {
    const beds = rng.chance(0.5) ? ('all' as const) : [rng.pick(config.site.beds).id];
    const asked = { beds, who: 'Person 1 (invented)', why: 'simulated stop', untilMs: null };
    // No two of them in the same instant, as it is with people.
    const at = { ...asked, atMs: now() + (event % 1000) };
    count('stop');
    const told = new Map<string, boolean>();
    let stopNo = 0;
    if (stopMutant !== 'stop after the store') {
      const underWay = stopDispatcher(() => outputs).stop(at);
      stopNo = underWay.stopNo;
      await timers.runTo(trueMs + 2_000, () => undefined);
      for (const { output, answer } of await underWay.stoppedAt) {
        told.set(output, answer.kind === 'accepted');
        tell(`stop at ${output}: ${answer.kind}`);
      }
    } else {
      for (const { name } of receivers) told.set(name, true);
    }
    if (stopMutant === 'exit 0 always') for (const { name } of receivers) told.set(name, true);
    persons.stopped(beds, told, (name) => {
      const one = receivers.find((receiver) => receiver.name === name);
      return { toCome: one?.toCome() ?? [], isReached: one?.network === 'good' };
    });
    unwrittenHolds.push({
      ...at,
      stopNo,
      onWritten: ({ holdId }) => {
        persons.held(holdId, beds, event);
        for (const output of outputs) output.storeKnows(stopNo);
      },
    });
    try {
      const db = faultyDatabase(real, faults);
      writeHolds(unwrittenHolds, { db, clock, outputs: OUTPUTS });
    } catch (error) {
      tell(`stop is not written: ${error instanceof Error ? error.message : String(error)}`);
      if (faults.isDead) {
        count('crashes');
        bootUp();
      }
    }
  };
  const reportRan = (run: Run, output: string) => {
    if (trueMs < powerBackMs || faults.isDiskFull) return;
    const times = rng.weighted({ none: 2, once: 5, twice: 1 });
    for (let left = { none: 0, once: 1, twice: 2 }[times]; left > 0; left--) {
      const { stationId, startMs, runS } = run;
      const atMs = startMs + runS * 1000;
      const report = {
        kind: 'ran' as const,
        output,
        stationId,
        startMs,
        runS,
        flowLPerMin: null,
        atMs,
      };
      addFieldReport(real, report, now());
    }
  };

  const actions = personActions({
    real,
    config,
    weather,
    rng,
    persons,
    guards,
    now,
    event: () => event,
    isDiskFull: () => faults.isDiskFull,
    tell,
    count,
    breaks,
  });

  while (trueMs < endMs) {
    event += 1;
    await pass(stride(rng));
    await wake();
    keeper.look();
    event += 1;
    const what = rng.weighted<keyof typeof EVENTS>(events);
    tell(what);
    const who = rng.whole(0, 1);
    if (what === 'read' || what === 'read and confirm') actions.read(who);
    const hasPower = trueMs >= powerBackMs;
    if ((what === 'confirm' || what === 'read and confirm') && hasPower) await actions.confirm(who);
    if (what === 'both confirm' && hasPower) {
      await actions.confirm(0);
      await actions.confirm(1);
    }
    if (what === 'hold' && hasPower) await actions.hold();
    if (what === 'stop' && hasPower) await stop();
    if (what === 'stop while away' && hasPower) {
      const watering = receivers.find((one) => one.toCome().length > 0);
      if (watering !== undefined) {
        const { network } = watering;
        watering.network = 'away';
        await stop();
        watering.network = network;
      }
    }
    if (what === 'tamper') {
      const how = rng.pick<Tampering>(['forgets', 'older order put back', 'forged order']);
      tell(how);
      rng.pick(receivers).tamper(how);
      count('tampered');
    }
    if (what === 'plan' && hasPower) await actions.plan('none');
    if (what === 'plan and lift' && hasPower) await actions.plan('all');
    if (what === 'network') {
      rng.pick(receivers).network = rng.weighted<Network>({
        good: 4,
        lossy: 3,
        away: 2,
        refusing: 1,
      });
    }
    if (what === 'crash') faults.writesToCrash = rng.whole(1, 12);
    if (what === 'station') {
      silentMs = Number.isFinite(silentMs) ? Number.POSITIVE_INFINITY : now();
      count('station silent or back');
    }
    if (what === 'disk') {
      faults.isDiskFull = !faults.isDiskFull && rng.chance(0.5);
      troubledMs = trueMs;
    }
    if (what === 'power') {
      powerBackMs = trueMs + rng.pick([MIN_MS, HOUR_MS, 3 * HOUR_MS]);
      bootUp();
      count('power cuts');
    }
    if (what === 'clock') {
      skewMs = rng.chance(0.5) ? 0 : rng.whole(-120, 120) * MIN_MS;
      count('clock steps');
    }
    keeper.look();
  }

  faults.isDiskFull = false;
  faults.writesToCrash = null;
  skewMs = 0;
  for (const one of receivers) one.network = 'good';
  if (rng.chance(0.7)) rng.pick(receivers).tamper(rng.pick(TAMPERINGS));
  await pass(Math.max(0, powerBackMs - trueMs));
  for (let minute = 0; minute < CALM_MIN; minute++) {
    event += 1;
    await pass(MIN_MS);
    await wake();
  }
  keeper.look();

  const wanted = persons.expected(trueMs).map(keyOf).sort();
  for (const one of receivers) {
    const has = one.toCome().map(keyOf).sort();
    if (JSON.stringify(has) !== JSON.stringify(wanted)) {
      breaks(`${one.name}: ${has.length} runs are to come, ${wanted.length} should be`);
    }
  }
  for (const day of calmMornings) {
    const mornings = morningPlans(real, day);
    if (mornings !== 1) breaks(`${day}: ${mornings} morning plans`);
  }
  for (const what of keeper.judge()) breaks(what);
  counts['changes within a leeway'] = persons.uses;
  const sums = { ...counts, rows: keeper.rows(), mornings: calmMornings.size };
  return { seed, hash: hash.digest('hex'), broken, counts: sums };
}

/** Jobs on which the promises rest. */
const ALWAYS_AWAKE: ReadonlySet<string> = new Set([
  'morning plan',
  'deliveries',
  'reading back',
  FOLLOWING,
]);

const EVENTS = {
  nothing: 20,
  read: 16,
  'read and confirm': 10,
  confirm: 10,
  'both confirm': 2,
  hold: 4,
  stop: 5,
  'stop while away': 4,
  tamper: 5,
  plan: 6,
  'plan and lift': 5,
  network: 8,
  crash: 5,
  disk: 2,
  station: 3,
  power: 1,
  clock: 2,
} as const;

const FEW_ACTS = {
  ...EVENTS,
  hold: 0.3,
  stop: 0.3,
  'stop while away': 0.2,
  plan: 0.5,
  'plan and lift': 0.5,
} as const;

const TAMPERINGS: readonly Tampering[] = ['forgets', 'older order put back', 'forged order'];

/** What can be wrong with a stop, and has to be found out. */
export type StopMutant = 'no read-back' | 'stop after the store' | 'exit 0 always';

/** An output that believes that what was written stands. */
function believesItself(output: Receiver): Output {
  return { ...output, find: async () => ({ kind: 'as_wanted' }), health: () => output.health() };
}

/** Timers that fire as the history's own time passes. */
function steeredTimers(trueMs: () => number) {
  let waiting: { dueMs: number; work(): void }[] = [];
  const timers: Timers = {
    monoMs: trueMs,
    later(delayMs, work) {
      const one = { dueMs: trueMs() + delayMs, work };
      waiting.push(one);
      return () => {
        waiting = waiting.filter((other) => other !== one);
      };
    },
  };
  return {
    timers,
    async runTo(toMs: number, at: (atMs: number) => void): Promise<void> {
      for (;;) {
        // Whatever follows at once from what was asked comes first.
        await setImmediate();
        const next = waiting
          .filter(({ dueMs }) => dueMs <= toMs)
          .sort((a, b) => a.dueMs - b.dueMs)[0];
        if (next === undefined) return;
        waiting = waiting.filter((other) => other !== next);
        at(next.dueMs);
        next.work();
      }
    },
  };
}

function stride(rng: Random): number {
  const kind = rng.weighted({ minutes: 7, hours: 3, same: 1 });
  if (kind === 'same') return 0;
  return kind === 'minutes' ? rng.whole(1, 30) * MIN_MS : rng.whole(20, 120) * MIN_MS;
}

function keyOf(run: Omit<Run, 'cycle'>): string {
  return `${run.stationId} ${run.startMs} ${run.runS}`;
}

function morningPlans(db: Db, siteDay: string): number {
  const row = db
    .prepare("SELECT count(*) AS n FROM plan WHERE site_day = ? AND cause = 'morning'")
    .get(siteDay) as { n: number };
  return row.n;
}
