import { describe, expect, it } from 'vitest';
import { outputNameSchema, type Wanted } from '../../../adapters/contract.ts';
import {
  EVERY_STATION,
  openMessage,
  secondsLeft,
  shutMessage,
  timedRuns,
} from '../../../adapters/outputs/due-runs.ts';
import {
  alertMessage,
  holdMessage,
  orderMessage,
} from '../../../adapters/outputs/mqtt-messages.ts';
import {
  deliveryPayload,
  refusalWhenOver,
  standingAfter,
  wantedText,
  withdrawalPayload,
} from '../../../adapters/outputs/order-document.ts';
import { planDocument } from '../../../adapters/plan-document.ts';
import { cyclesOfPlan } from '../../../calc/schedule/leeway-change.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { EXAMPLE_CLOCK as clock, confirmedExample, holdExample } from './output-context.ts';

const plan = examplePlan();
const confirmed = confirmedExample();
const DAY_END = '2026-07-02T00:00:00-07:00';

describe('an order as receivers get it', () => {
  it('has the runs that stand, who confirmed them, and the plan itself', () => {
    const payload = deliveryPayload({
      orderId: 'o-1',
      confirmed: confirmedExample({ heldBedIds: ['bed-2', 'bed-3'] }),
      clock,
    });
    expect(payload).toEqual({
      format: 'dewbeat-order',
      format_version: 1,
      order_id: 'o-1',
      site_id: 'example-site',
      site_day: '2026-07-01',
      valid_until: DAY_END,
      digest: confirmed.digest,
      confirmation: {
        who: 'A. Tester (invented)',
        at: '2026-07-01T05:05:00-07:00',
        cautions: ['turf_clear', 'injector_off', 'covers_off'],
      },
      held_beds: ['bed-2', 'bed-3'],
      change: null,
      withdrawn: null,
      runs: expect.any(Array),
      plan: planDocument(plan, clock),
    });
    expect(payload.runs).toHaveLength(6);
    expect(payload.runs[0]).toEqual({
      bed_id: 'bed-1',
      station_id: 's-1a',
      start: '2026-07-01T06:15:00-07:00',
      run_s: 240,
      rotations: 2,
      gross_mm: 1.05,
      net_mm: 1,
      cycle: 1,
    });
  });

  it('has the day as it stands after a change, under the digest that was confirmed', () => {
    const [first, ...others] = cyclesOfPlan(plan).filter(({ runs }) => runs.length > 0);
    if (first === undefined) throw new Error('no cycle');
    const laterBy = (byMs: number) => ({
      ...first,
      startMs: first.startMs + byMs,
      runs: first.runs.map((run) => ({ ...run, startMs: run.startMs + byMs })),
    });
    const later = laterBy(600_000);
    const spare = { ...laterBy(7_200_000), origin: { spare: 1 } };
    const change = {
      number: 2,
      atMs: first.startMs - 3_600_000,
      cycles: [later, spare, ...others],
    };
    const changed = { ...confirmedExample({ heldBedIds: ['bed-3'] }), change };
    const payload = deliveryPayload({ orderId: 'o-1-c2', confirmed: changed, clock });
    expect(payload.change).toEqual({ number: 2, at: clock.isoOf(change.atMs) });
    expect(payload.digest).toBe(confirmed.digest);
    expect(payload.plan).toEqual(planDocument(plan, clock));
    const runs = payload.runs as { bed_id: string; start: string; cycle: number }[];
    expect(runs.some(({ start }) => start === clock.isoOf(first.runs[0]?.startMs ?? 0))).toBe(
      others.some((one) => one.runs.some((run) => run.startMs === first.runs[0]?.startMs)),
    );
    expect(runs.some(({ start }) => start === clock.isoOf(later.runs[0]?.startMs ?? 0))).toBe(true);
    // A spare counts on after the bed's last cycle.
    const laid = plan.beds.find(({ bedId }) => bedId === first.bedId)?.cycles.length ?? 0;
    expect(runs.some(({ bed_id, cycle }) => bed_id === first.bedId && cycle === laid + 1)).toBe(
      true,
    );
    expect(runs.some(({ bed_id }) => bed_id === 'bed-3')).toBe(false);
    // Run by run it is the same: what was moved is due at its new start and no more at its old one.
    const ids = timedRuns(changed, clock).map(({ runId }) => runId);
    const idOf = (run: { stationId: string; startMs: number }) =>
      `${run.stationId}@${clock.isoOf(run.startMs)}`;
    for (const run of later.runs) expect(ids).toContain(idOf(run));
    for (const run of first.runs) {
      expect(ids).not.toContain(idOf(run));
    }
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('rounds seconds to whole ones and depths to micrometres', () => {
    const runs = plan.runs.map((run) => ({
      ...run,
      runS: 239.6,
      grossMm: 1.23456,
      netMm: 0.00044,
    }));
    const odd = confirmedExample({ plan: { ...plan, runs } });
    expect(deliveryPayload({ orderId: 'o', confirmed: odd, clock }).runs[0]).toMatchObject({
      run_s: 240,
      gross_mm: 1.235,
      net_mm: 0,
    });
  });

  const withdrawn = {
    who: 'B. Tester (invented)',
    at: '2026-07-01T07:00:00-07:00',
    why: 'visitors on the turf',
  };

  it.each([
    ['of everything', holdExample({ remaining: confirmed }), []],
    ['of beds with nothing that remains', holdExample({ beds: ['bed-1'] }), ['bed-1']],
  ])('is an explicit nothing after a withdrawal %s', (_, withdrawal, beds) => {
    expect(withdrawalPayload({ orderId: 'o-2', withdrawal, clock })).toEqual({
      format: 'dewbeat-order',
      format_version: 1,
      order_id: 'o-2',
      site_id: 'example-site',
      site_day: '2026-07-01',
      valid_until: DAY_END,
      digest: null,
      confirmation: null,
      held_beds: [],
      change: null,
      withdrawn: { ...withdrawn, everything: true, beds },
      runs: [],
      plan: null,
    });
  });

  it('is what remains after a withdrawal of some beds', () => {
    const withdrawal = holdExample({
      beds: ['bed-1', 'bed-2'],
      remaining: confirmedExample({ heldBedIds: ['bed-2'] }),
    });
    const payload = withdrawalPayload({ orderId: 'o-2', withdrawal, clock });
    expect(payload).toEqual({
      ...deliveryPayload({
        orderId: 'o-2',
        confirmed: confirmedExample({ heldBedIds: ['bed-2', 'bed-1'] }),
        clock,
      }),
      withdrawn: { ...withdrawn, everything: false, beds: ['bed-1', 'bed-2'] },
    });
    expect(payload.runs).toHaveLength(4);
  });

  it('leaves nothing standing after a withdrawal of everything, whatever is said to remain', () => {
    expect(standingAfter(holdExample({ remaining: confirmed }))).toBeNull();
    expect(standingAfter(holdExample({ beds: ['bed-1'] }))).toBeNull();
    expect(standingAfter(holdExample({ beds: ['bed-1'], remaining: confirmed }))).toEqual({
      ...confirmed,
      heldBedIds: ['bed-1'],
    });
  });

  it('is the same text each time, of either kind', () => {
    const deliver: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed };
    expect(JSON.parse(wantedText(deliver, clock))).toEqual(
      JSON.parse(JSON.stringify(deliveryPayload({ orderId: 'o-1', confirmed, clock }))),
    );
    expect(wantedText(deliver, clock)).toBe(wantedText(deliver, clock));
    const withdrawal = holdExample();
    expect(wantedText({ kind: 'withdraw', orderId: 'o-2', withdrawal }, clock)).toBe(
      JSON.stringify(withdrawalPayload({ orderId: 'o-2', withdrawal, clock })),
    );
  });
});

describe('messages', () => {
  const withdrawal = holdExample();
  const payload = withdrawalPayload({ orderId: 'o-2', withdrawal, clock });

  it('of an order are retained, as long as it says', () => {
    const common = { topic: 't', retain: true, contentType: 'application/json' };
    expect(orderMessage('t', payload, 60)).toEqual({
      ...common,
      text: JSON.stringify(payload),
      expiryS: 60,
    });
    expect(orderMessage('t', payload, null).expiryS).toBeNull();
  });

  it('of a hold are heard now, and never expire', () => {
    const { text, ...rest } = holdMessage('t', payload, withdrawal);
    expect(rest).toEqual({
      topic: 't',
      retain: false,
      contentType: 'application/json',
      expiryS: null,
    });
    expect(JSON.parse(text)).toEqual({
      format: 'dewbeat-hold',
      format_version: 1,
      order_id: 'o-2',
      site_id: 'example-site',
      site_day: '2026-07-01',
      valid_until: DAY_END,
      who: 'B. Tester (invented)',
      at: '2026-07-01T07:00:00-07:00',
      why: 'visitors on the turf',
      everything: true,
      beds: [],
    });
  });

  it('of news are heard within the hour', () => {
    const { text, ...rest } = alertMessage(
      't',
      {
        newsId: 'n-1',
        kind: 'away',
        siteId: 'example-site',
        siteDay: '2026-07-01',
        atMs: EXAMPLE_MADE_AT_MS,
        text: 'An invented absence.',
        revision: 2,
        digest: 'd',
      },
      clock,
    );
    expect(rest).toEqual({
      topic: 't',
      retain: false,
      contentType: 'application/json',
      expiryS: 3600,
    });
    expect(JSON.parse(text)).toMatchObject({ news_id: 'n-1', at: '2026-07-01T05:00:00-07:00' });
  });
});

describe('runs as messages', () => {
  const [first] = timedRuns(confirmed, clock);
  if (first === undefined) throw new Error('the example has no run');
  const startMs = EXAMPLE_MADE_AT_MS + 75 * 60_000;
  const open = (given: { nowMs?: number; toleranceMs?: number }) => {
    const { text, ...rest } = openMessage({
      topic: 't',
      orderId: 'o-1',
      run: first,
      nowMs: startMs,
      toleranceMs: 20_000,
      clock,
      ...given,
    });
    return { ...rest, value: JSON.parse(text) as Record<string, unknown> };
  };

  it('have ids that stay the same over revisions', () => {
    expect(first).toEqual({
      runId: 's-1a@2026-07-01T06:15:00-07:00',
      bedId: 'bed-1',
      stationId: 's-1a',
      startMs,
      endMs: startMs + 240_000,
    });
    expect(timedRuns(confirmedExample({ heldBedIds: ['bed-1'] }), clock)).toHaveLength(6);
  });

  it('open a station until the end of its run, and expire with the tolerance', () => {
    expect(open({})).toEqual({
      topic: 't',
      retain: false,
      contentType: 'application/json',
      expiryS: 20,
      value: {
        format: 'dewbeat-run',
        format_version: 1,
        order_id: 'o-1',
        run_id: first.runId,
        station: 's-1a',
        seconds: 240,
        start: '2026-07-01T06:15:00-07:00',
        ends: '2026-07-01T06:19:00-07:00',
        expires: '2026-07-01T06:15:20-07:00',
      },
    });
  });

  it('open it for less when they are late, and expire at its end at the latest', () => {
    const late = open({ nowMs: startMs + 8_000 });
    expect(late.expiryS).toBe(12);
    expect(late.value).toMatchObject({ seconds: 232, ends: '2026-07-01T06:19:00-07:00' });
    expect(open({ toleranceMs: 300_000 })).toMatchObject({
      expiryS: 240,
      value: { expires: '2026-07-01T06:19:00-07:00' },
    });
  });

  it('have whole seconds left, one at least, and never more than planned', () => {
    expect(secondsLeft(first, startMs - 5_000)).toBe(240);
    expect(secondsLeft(first, startMs + 400)).toBe(240);
    expect(secondsLeft(first, startMs + 600)).toBe(239);
    expect(secondsLeft(first, first.endMs)).toBe(1);
  });

  it('shut one station, or every one, and never expire', () => {
    expect(EVERY_STATION).toBe('*');
    const nowMs = startMs;
    const shut = shutMessage({ topic: 't', orderId: null, runId: 'r', station: '*', nowMs, clock });
    const { text, ...rest } = shut;
    expect(rest).toEqual({
      topic: 't',
      retain: false,
      contentType: 'application/json',
      expiryS: null,
    });
    expect(JSON.parse(text)).toEqual({
      format: 'dewbeat-run',
      format_version: 1,
      order_id: null,
      run_id: 'r',
      station: '*',
      seconds: 0,
      start: '2026-07-01T06:15:00-07:00',
      ends: '2026-07-01T06:15:00-07:00',
      expires: null,
    });
  });
});

describe('a plan that is over', () => {
  it('is refused from the end of its day on, with what to do', () => {
    const at = (nowMs: number) => refusalWhenOver(confirmed, { where: 'file', nowMs, clock });
    expect(at(plan.endMs - 1)).toBeNull();
    expect(at(plan.endMs)).toEqual({
      kind: 'rejected',
      detail: `file: the plan is over (got ${DAY_END} as its end); make a plan for today`,
    });
  });
});

describe('the name of an output', () => {
  it.each(['a', 'A9', 'box_3.north-2', 'x'.repeat(40)])('may be %s', (name) => {
    expect(outputNameSchema.parse(name)).toBe(name);
  });

  it.each(['', '-a', '.a', '_a', 'a b', 'a/b', 'x'.repeat(41), 'a\n'])('may not be %j', (name) => {
    expect(outputNameSchema.safeParse(name).error?.issues[0]?.message).toBe(
      `is no name (got ${name}); use up to 40 letters, digits, dashes, dots or underscores, beginning with a letter or digit`,
    );
  });
});
