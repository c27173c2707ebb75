import type {
  AdapterLog,
  Confirmation,
  ConfirmedPlan,
  FieldReport,
  OutputContext,
  RunEvent,
  RunMemory,
  Withdrawal,
} from '../../../adapters/contract.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { paperOn } from '../../../daemon/words/plan-card.ts';
import { confirmedForTest } from '../../confirmed-plan.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';

export const EXAMPLE_CLOCK = siteClock(EXAMPLE_ZONE);

/** What an output was given, with what it said and logged laid open. */
export interface TestContext {
  context: OutputContext;
  reports: FieldReport[];
  logged: string[];
  setNow(nowMs: number): void;
}

export function contextForTest(change: Partial<OutputContext> = {}): TestContext {
  const reports: FieldReport[] = [];
  const logged: string[] = [];
  let nowMs = EXAMPLE_MADE_AT_MS + 10 * 60_000;
  const write = (fields: object, message: string) =>
    void logged.push(`${message} ${JSON.stringify(fields)}`);
  const log: AdapterLog = { info: write, warn: write, error: write };
  const context: OutputContext = {
    siteId: 'example-site',
    clock: EXAMPLE_CLOCK,
    units: 'metric',
    paper: paperOn(EXAMPLE_CLOCK),
    log,
    baseFolder: '.',
    now: () => nowMs,
    stationsAtOnce: 6,
    runMemory: () => forgetfulMemory(),
    report: (report) => void reports.push(report),
    ...change,
  };
  const setNow = (ms: number) => {
    nowMs = ms;
  };
  return { context, reports, logged, setNow };
}

export function confirmedExample(
  given: {
    plan?: DayPlan;
    confirmation?: Partial<Confirmation>;
    heldBedIds?: readonly string[];
  } = {},
): ConfirmedPlan {
  return confirmedForTest({ plan: examplePlan(), clock: EXAMPLE_CLOCK, ...given });
}

/** An invented hold: on everything unless told otherwise. */
export function holdExample(change: Partial<Withdrawal> = {}): Withdrawal {
  return {
    siteId: 'example-site',
    siteDay: '2026-07-01',
    beds: 'all',
    who: 'B. Tester (invented)',
    why: 'visitors on the turf',
    atMs: EXAMPLE_MADE_AT_MS + 2 * 3_600_000,
    remaining: null,
    ...change,
  };
}

/** A memory that dies with the test, and in which nothing stands unless told. */
export function forgetfulMemory(standing: RunMemory['standing'] = () => null) {
  const events: RunEvent[] = [];
  const closes = ({ what }: RunEvent) => what === 'claimed' || what === 'missed';
  const has = (runId: string) => events.some((event) => event.runId === runId && closes(event));
  const memory: RunMemory = {
    has,
    add: (event) => {
      if (closes(event) && has(event.runId)) throw new Error(`${event.runId} comes twice`);
      events.push(event);
    },
    standing,
  };
  return Object.assign(memory, { events });
}
