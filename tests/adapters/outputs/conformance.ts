import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Output } from '../../../adapters/contract.ts';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import { type PlanDocument, planDigest } from '../../../adapters/plan-document.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { confirmedExample, holdExample, type TestContext } from './output-context.ts';

/** An output over its real medium, and what a receiver finds there. */
export interface Rig {
  output: Output;
  test: TestContext;
  /** The order in force as a receiver that comes now reads it; null when there never was one. */
  standing(): Promise<OrderPayload | null>;
  /** Ids of the orders in the sequence in which they took effect. */
  effects(): Promise<string[]>;
  /** Takes the medium away, or brings it back. */
  setAway(away: boolean): Promise<void>;
  close(): Promise<void>;
}

/** What every output must do, whatever its medium. `makeRig` gives an output not yet started. */
export function conformance(name: string, makeRig: () => Promise<Rig>): void {
  describe(`every output: ${name}`, () => {
    let rig: Rig;
    let close = () => Promise.resolve();
    beforeEach(async () => {
      rig = await makeRig();
      close = rig.close;
    });
    afterEach(() => close());

    const startedRig = async () => {
      await rig.output.start();
      await untilHealthy(rig.output);
      return rig;
    };
    const runsOf = async () =>
      ((await rig.standing())?.runs ?? []) as { bed_id: string; start: string }[];

    it('delivers a plan whose digest can be worked out again, with its end in it', async () => {
      const { output, standing } = await startedRig();
      expect((await output.deliver('o-1', confirmedExample())).kind).toBe('accepted');
      const order = await standing();
      expect(order).toMatchObject({
        format: 'dewbeat-order',
        order_id: 'o-1',
        valid_until: '2026-07-02T00:00:00-07:00',
        confirmation: { who: 'A. Tester (invented)' },
        withdrawn: null,
      });
      expect(order?.runs).toHaveLength(12);
      expect(planDigest(order?.plan as PlanDocument)).toBe(order?.digest);
      expect(output.health().ok).toBe(true);
    });

    it('lets the same order take effect once, repeated later or at the same time', async () => {
      const { output, effects } = await startedRig();
      const [first, second] = await Promise.all([
        output.deliver('o-1', confirmedExample()),
        output.deliver('o-1', confirmedExample()),
      ]);
      const third = await output.deliver('o-1', confirmedExample());
      expect([first.kind, second.kind, third.kind]).toEqual(['accepted', 'accepted', 'accepted']);
      expect(await effects()).toEqual(['o-1']);
    });

    it('leaves an explicit nothing when everything is withdrawn', async () => {
      const { output, standing } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
      expect(await standing()).toMatchObject({
        order_id: 'o-2',
        digest: null,
        confirmation: null,
        plan: null,
        runs: [],
        withdrawn: {
          who: 'B. Tester (invented)',
          why: 'visitors on the turf',
          at: '2026-07-01T07:00:00-07:00',
          everything: true,
        },
      });
      expect(Date.parse((await standing())?.valid_until ?? '')).not.toBeNaN();
    });

    it('leaves the other beds when some are withdrawn', async () => {
      const { output, standing } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      const remaining = confirmedExample({ heldBedIds: ['bed-1'] });
      const hold = holdExample({ beds: ['bed-1'], remaining });
      expect((await output.withdraw('o-2', hold)).kind).toBe('accepted');
      const order = await standing();
      expect(order).toMatchObject({
        order_id: 'o-2',
        held_beds: ['bed-1'],
        digest: remaining.digest,
        withdrawn: { everything: false, beds: ['bed-1'] },
      });
      expect(planDigest(order?.plan as PlanDocument)).toBe(order?.digest);
      expect((await runsOf()).map((run) => run.bed_id)).not.toContain('bed-1');
      expect(await runsOf()).toHaveLength(6);
    });

    it('gives no water to a bed that the hold names, even where the rest forgot it', async () => {
      const { output } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      await output.withdraw('o-2', holdExample({ beds: ['bed-1'], remaining: confirmedExample() }));
      expect((await runsOf()).map((run) => run.bed_id)).not.toContain('bed-1');
      await output.withdraw('o-3', holdExample({ beds: 'all', remaining: confirmedExample() }));
      expect(await runsOf()).toEqual([]);
    });

    it('delivers a fresh plan after a withdrawal, and no old one over it', async () => {
      const { output, standing, effects } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      await output.withdraw('o-2', holdExample());
      await output.deliver('o-1', confirmedExample());
      expect((await standing())?.order_id).toBe('o-2');
      const fresh = confirmedExample({ plan: examplePlan({ revision: 3 }) });
      expect((await output.deliver('o-3', fresh)).kind).toBe('accepted');
      expect(await standing()).toMatchObject({ order_id: 'o-3', digest: fresh.digest });
      expect(await effects()).toEqual(['o-1', 'o-2', 'o-3']);
    });

    it('withdraws where nothing was delivered', async () => {
      const { output, standing } = await startedRig();
      expect((await output.withdraw('o-1', holdExample())).kind).toBe('accepted');
      expect(await standing()).toMatchObject({ order_id: 'o-1', runs: [] });
    });

    it('leaves out cycles that had begun before the confirm', async () => {
      const { output } = await startedRig();
      const atMs = EXAMPLE_MADE_AT_MS + 100 * 60_000;
      await output.deliver('o-1', confirmedExample({ confirmation: { atMs } }));
      expect((await runsOf())[0]).toMatchObject({
        bed_id: 'bed-3',
        start: '2026-07-01T06:45:00-07:00',
      });
    });

    it('refuses a plan whose day is over, and keeps what stood', async () => {
      const { output, test, standing } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      test.setNow(EXAMPLE_MADE_AT_MS + 19 * 3_600_000);
      const answer = await output.deliver('o-2', confirmedExample());
      expect(answer.kind).toBe('rejected');
      expect(answer.detail).toContain('the plan is over');
      expect((await standing())?.order_id).toBe('o-1');
    });

    it('starts while its medium is away, owns up, and delivers the same order later', async () => {
      const { output, standing, effects, setAway } = rig;
      await setAway(true);
      const startMs = performance.now();
      await output.start();
      const away = await output.deliver('o-1', confirmedExample());
      expect(performance.now() - startMs).toBeLessThan(1000);
      expect(away.kind).not.toBe('accepted');
      expect(output.health().ok).toBe(false);
      await setAway(false);
      await untilAccepted(() => output.deliver('o-1', confirmedExample()));
      expect((await standing())?.order_id).toBe('o-1');
      expect(await effects()).toEqual(['o-1']);
      expect(output.health().ok).toBe(true);
    });

    it('stops twice, and accepts nothing afterwards', async () => {
      const { output, standing } = await startedRig();
      await output.deliver('o-1', confirmedExample());
      await output.stop();
      await output.stop();
      expect((await output.deliver('o-2', confirmedExample())).kind).toBe('unknown');
      expect((await output.withdraw('o-3', holdExample())).kind).toBe('unknown');
      expect((await standing())?.order_id).toBe('o-1');
    });

    it('stops before it was started', async () => {
      await rig.output.stop();
      await rig.output.stop();
    });
  });
}

export async function untilHealthy(output: Output): Promise<void> {
  for (let i = 0; i < 800 && !output.health().ok; i++) {
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  expect(output.health()).toMatchObject({ ok: true });
}

async function untilAccepted(act: () => Promise<{ kind: string }>): Promise<void> {
  let kind = '';
  for (let i = 0; i < 100 && kind !== 'accepted'; i++) {
    kind = (await act()).kind;
    if (kind !== 'accepted') await new Promise((resolve) => setTimeout(resolve, 50));
  }
  expect(kind).toBe('accepted');
}
