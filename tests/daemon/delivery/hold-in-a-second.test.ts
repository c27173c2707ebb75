import pino from 'pino';
import { afterEach, describe, expect, it } from 'vitest';
import type { Output } from '../../../adapters/contract.ts';
import { deliveryMemory } from '../../../daemon/delivery/delivery-memory.ts';
import { type JobParts, oneAtATime } from '../../../daemon/service/jobs/job.ts';
import { deliveriesJob } from '../../../daemon/service/jobs/output-jobs.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

let timer: NodeJS.Timeout | undefined;
afterEach(() => clearInterval(timer));

/** An output that never answers a delivery, and notes when it hears of a hold. */
function hanging(name: string, heardMs: Map<string, number>): Output {
  return {
    name,
    start: async () => undefined,
    deliver: () => new Promise(() => undefined),
    withdraw: async () => {
      heardMs.set(name, performance.now());
      return { kind: 'accepted', detail: 'held' };
    },
    find: () => new Promise(() => undefined),
    health: () => ({ ok: false, detail: 'hanging' }),
    stop: async () => undefined,
  };
}

describe('a hold while every output hangs', () => {
  it.each([0, 50, 250, 480])(
    'is out within a second, put on %i ms after the confirm',
    async (waitMs) => {
      const db = scratchDatabase();
      const clock = siteClock(EXAMPLE_ZONE);
      const heardMs = new Map<string, number>();
      const names = ['file', 'valves', 'panel'];
      const outputs = new Map(names.map((name) => [name, hanging(name, heardMs)]));
      const now = () => EXAMPLE_MADE_AT_MS;
      const plan = examplePlan({ revision: 1, firstRunMs: EXAMPLE_MADE_AT_MS });
      const { digest } = rememberPlan(db, plan);
      const log = pino({ level: 'silent' });
      const config = { site: { id: 'example-site' }, clock } as JobParts['config'];
      const memory = deliveryMemory();
      const delivery = { db, siteId: 'example-site', clock, outputs, now, memory };
      const job = deliveriesJob({ db, config, log, now } as unknown as JobParts, delivery);
      if (job.every === 'minute') throw new Error('deliveries are looked for more often');
      const round = oneAtATime(job.work, (error) => expect(error).toBeUndefined());

      const gate = { db, clock, site: EXAMPLE_SITE, outputs: names, nowMs: now() };
      const cautions = CAUTIONS.map(({ code }) => code);
      expect(confirmPlan(gate, { revision: 1, digest, who: 'A. Keeper', cautions }).ok).toBe(true);
      timer = setInterval(() => void round(), job.every.ms);
      void round();
      await new Promise((resolve) => setTimeout(resolve, waitMs));
      holdWater(gate, { who: 'B. Mower', why: 'roll', beds: 'all', untilMs: null });
      const putMs = performance.now();
      while (heardMs.size < 3 && performance.now() - putMs < 3_000) {
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
      for (const name of names) {
        expect((heardMs.get(name) ?? Number.POSITIVE_INFINITY) - putMs).toBeLessThan(1_000);
      }
    },
  );
});
