import { describe, expect, it } from 'vitest';
import type { Answer, Found, Output } from '../../../adapters/contract.ts';
import { deliverOutbox } from '../../../daemon/delivery/deliver-outbox.ts';
import { deliveryMemory } from '../../../daemon/delivery/delivery-memory.ts';
import { readBack, readBackMemory } from '../../../daemon/delivery/read-back.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { addPlaces } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

const clock = siteClock(EXAMPLE_ZONE);

/** One output that answers as told, and a store that owes to it. */
function scene({ looksFirst = false } = {}) {
  const db = scratchDatabase();
  let nowMs = EXAMPLE_MADE_AT_MS;
  let answer: Answer['kind'] = 'accepted';
  let standing = '';
  let watered: string[] | null = null;
  let holds = 0;
  const place = { now: 'here' };
  const rows = [{ output: 'field', place: 'here', config: '{}' }];
  addPlaces(db, rows, nowMs);
  const output: Output = {
    name: 'field',
    start: async () => undefined,
    async deliver(orderId) {
      if (answer === 'accepted') standing = orderId;
      return { kind: answer, detail: answer };
    },
    async withdraw(orderId, { remaining }) {
      if (answer !== 'accepted') return { kind: answer, detail: answer };
      standing = orderId;
      watered =
        remaining?.plan.beds
          .map(({ bedId }) => bedId)
          .filter((bedId) => !remaining.heldBedIds.includes(bedId)) ?? [];
      return { kind: answer, detail: answer };
    },
    async find(wanted): Promise<Found> {
      if (standing === wanted?.orderId) return { kind: 'as_wanted' };
      const order = { orderId: standing, runsAhead: 3, stop: null };
      return { kind: 'other', detail: `${standing} stands`, order };
    },
    health: () => ({ ok: true, detail: '' }),
    stop: async () => undefined,
  };
  const memory = deliveryMemory();
  const context = () => ({
    db,
    siteId: 'example-site',
    clock,
    outputs: new Map([['field', output]]),
    places: new Map([['field', place.now]]),
    now: () => nowMs,
    memory,
    looksFirst,
  });
  const gate = () => ({ db, clock, site: EXAMPLE_SITE, outputs: ['field'], nowMs });
  return {
    confirm(revision: number) {
      nowMs += 60_000;
      const plan = examplePlan({ revision, madeAtMs: EXAMPLE_MADE_AT_MS, firstRunMs: nowMs });
      const stored = rememberPlan(db, plan, { lastHoldId: holds });
      const cautions = CAUTIONS.map(({ code }) => code);
      const request = { revision, digest: stored.digest, who: 'A. Keeper', cautions };
      expect(confirmPlan(gate(), request)).toMatchObject({ ok: true });
    },
    hold(beds: 'all' | string[]) {
      nowMs += 60_000;
      holds += 1;
      holdWater(gate(), { who: 'B. Mower', why: 'roll', beds, untilMs: null });
    },
    async round(kind: Answer['kind']) {
      answer = kind;
      nowMs += 120_000;
      await deliverOutbox(context());
    },
    async look() {
      answer = 'accepted';
      return readBack(context(), readBackMemory());
    },
    moveTo(where: string) {
      place.now = where;
      addPlaces(db, [{ output: 'field', place: where, config: '{}' }], nowMs);
    },
    watered: () => watered,
  };
}

describe('past a stop', () => {
  it('lets the plan before stand while the newer one is refused', async () => {
    const { confirm, round, look } = scene();
    confirm(1);
    await round('accepted');
    confirm(2);
    await round('rejected');
    expect(await look()).toEqual([]);
  });

  it('takes the plan before away when a stop never came through and the newer plan is refused', async () => {
    const { confirm, hold, round, look, watered } = scene();
    confirm(1);
    await round('accepted');
    hold(['bed-1']);
    await round('unknown');
    confirm(2);
    await round('rejected');
    expect(await look()).toMatchObject([{ what: 'empty', answer: { kind: 'accepted' } }]);
    expect(watered()).toEqual([]);
  });

  it('writes nothing that waters over what it has not looked at, and everything else at once', async () => {
    for (const [beds, isSent] of [
      [['bed-1'], false],
      [['bed-1', 'bed-2', 'bed-3'], false],
      ['all', true],
    ] as const) {
      const { confirm, hold, round, look, watered } = scene({ looksFirst: true });
      confirm(1);
      hold(beds === 'all' ? beds : [...beds]);
      await round('accepted');
      expect(watered() !== null, String(beds)).toBe(isSent);
      await look();
      await round('accepted');
      expect(watered(), String(beds)).not.toBeNull();
    }
  });

  it('lets the other beds go on where the plan was confirmed for, and nowhere else', async () => {
    for (const [place, goesOn] of [
      ['here', ['bed-2', 'bed-3']],
      ['there', []],
    ] as const) {
      const { confirm, hold, round, moveTo, watered } = scene();
      confirm(1);
      await round('accepted');
      moveTo(place);
      hold(['bed-1']);
      await round('accepted');
      expect(watered(), place).toEqual(goesOn);
    }
  });
});
