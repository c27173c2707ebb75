import { resolve } from 'node:path';
import { z } from 'zod';
import { type Reason, sayReason } from '../../calc/schedule/reasons.ts';
import type { Answer, ConfirmedPlan, Output, OutputContext, Withdrawal } from '../contract.ts';
import { display } from '../display-units.ts';
import { emptyCard, planCard } from '../plan-card.ts';
import { runsCsv } from '../runs-csv.ts';
import { missedRuns, standingRuns } from '../standing-runs.ts';
import { fileFault } from './file-fault.ts';
import { oncePerOrder } from './once-per-order.ts';
import {
  deliveryPayload,
  type OrderPayload,
  standingAfter,
  withdrawalPayload,
} from './order-payload.ts';
import { outputNameSchema } from './output-name.ts';
import { refusalWhenOver } from './plan-over.ts';
import { type FileCalls, replaceFiles } from './replace-files.ts';

export const fileOutputSchema = z
  .strictObject({
    output: z.literal('file'),
    name: outputNameSchema.default('file'),
    folder: z
      .string()
      .min(1)
      .meta({ description: 'Folder for plan.json, runs.csv and card.txt; relative to this file.' }),
  })
  .meta({ description: 'The plan as three files in a folder.' });

export type FileOutputConfig = z.infer<typeof fileOutputSchema>;

/** Writes the plan in force as `plan.json`, `runs.csv` and `card.txt` into one folder. */
export function createFileOutput(
  config: FileOutputConfig,
  context: OutputContext,
  calls?: FileCalls,
): Output {
  const folder = resolve(context.baseFolder, config.folder);
  const once = oncePerOrder();
  let last: Answer | null = null;
  let turn: Promise<unknown> = Promise.resolve();
  let stopped = false;

  async function write(payload: OrderPayload, csv: string, card: string): Promise<Answer> {
    // plan.json comes last: it is the one that names the order.
    const files = [
      { name: 'card.txt', text: card },
      { name: 'runs.csv', text: csv },
      { name: 'plan.json', text: `${JSON.stringify(payload, null, 2)}\n` },
    ];
    try {
      await replaceFiles(folder, files, calls);
      return { kind: 'accepted', detail: `written to ${config.folder}` };
    } catch (error) {
      return fileFault({ where: `${config.name}: ${config.folder}`, error });
    }
  }

  /** Orders write one after another, so that the last one asked is the one that stands. */
  function inTurn(orderId: string, act: () => Promise<Answer>): Promise<Answer> {
    if (stopped) return Promise.resolve({ kind: 'unknown', detail: 'the output is stopped' });
    return once(orderId, () => {
      const mine = turn.then(act).then((answer) => {
        last = answer;
        if (answer.kind !== 'accepted') context.log.warn({ orderId }, answer.detail);
        return answer;
      });
      turn = mine.catch(() => undefined);
      return mine;
    });
  }

  return {
    name: config.name,
    start: async () => {
      stopped = false;
    },
    deliver: (orderId, confirmed) =>
      inTurn(orderId, async () => {
        const over = { where: config.name, nowMs: context.now(), clock: context.clock };
        const refusal = refusalWhenOver(confirmed, over);
        if (refusal) return refusal;
        const payload = deliveryPayload({ orderId, confirmed, clock: context.clock });
        return write(payload, csvOf(confirmed, context), cardOf(confirmed, null, context));
      }),
    withdraw: (orderId, withdrawal) =>
      inTurn(orderId, () => {
        const payload = withdrawalPayload({ orderId, withdrawal, clock: context.clock });
        const standing = standingAfter(withdrawal);
        const card = standing
          ? cardOf(standing, withdrawal, context)
          : emptyCard({ ...withdrawal, clock: context.clock });
        return write(payload, csvOf(standing, context), card);
      }),
    health: () => ({
      ok: last === null || last.kind === 'accepted',
      detail: last?.detail ?? `nothing written to ${config.folder} yet`,
    }),
    // Files need no closing; a write under way is waited for.
    stop: async () => {
      stopped = true;
      await turn;
    },
  };
}

function csvOf(confirmed: ConfirmedPlan | null, context: OutputContext): string {
  const { clock } = context;
  const say = { timeOf: clock.timeOf, depth: display('metric').depth };
  return runsCsv({
    runs: confirmed === null ? [] : standingRuns(confirmed),
    plan: confirmed?.plan ?? null,
    clock,
    sayReason: (reason: Reason) => sayReason(reason, say),
  });
}

function cardOf(
  confirmed: ConfirmedPlan,
  withdrawal: Withdrawal | null,
  { clock, units }: OutputContext,
): string {
  const { plan, digest, confirmation, heldBedIds } = confirmed;
  const { who, atMs } = withdrawal ?? confirmation;
  return planCard({
    plan,
    digest,
    state: withdrawal
      ? { kind: 'partly_held', who, atMs, why: withdrawal.why, heldBedIds }
      : { kind: 'confirmed', who, atMs, heldBedIds },
    runs: standingRuns(confirmed),
    missed: missedRuns(confirmed),
    clock,
    units,
  });
}
