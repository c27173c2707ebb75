import * as nodeFiles from 'node:fs/promises';
import { resolve } from 'node:path';
import { z } from 'zod';
import { type Reason, sayReason } from '../../calc/schedule/reasons.ts';
import type { Answer, ConfirmedPlan, Output, OutputContext, Withdrawal } from '../contract.ts';
import { display } from '../display-units.ts';
import { emptyCard, planCard } from '../plan-card.ts';
import { runsCsv } from '../runs-csv.ts';
import { missedRuns, standingRuns } from '../standing-runs.ts';
import { fileFault } from './file-fault.ts';
import { holdsFirst, settledWithin } from './holds-first.ts';
import { replaceOrMakeRoom } from './make-room.ts';
import {
  deliveryPayload,
  type OrderPayload,
  standingAfter,
  withdrawalPayload,
} from './order-payload.ts';
import { outputNameSchema } from './output-name.ts';
import { refusalWhenOver } from './plan-over.ts';
import { watchRanFile } from './ran-file.ts';
import { type FileCalls, replaceFiles } from './replace-files.ts';
import { REAL_TIMERS, type Timers } from './timers.ts';

export const fileOutputSchema = z
  .strictObject({
    output: z.literal('file'),
    name: outputNameSchema.default('file'),
    folder: z
      .string()
      .min(1)
      .meta({ description: 'Folder for plan.json, runs.csv and card.txt; relative to this file.' }),
    ran: z.string().min(1).optional().meta({
      description:
        'File in which the receiver tells what ran: station,start,run_seconds and flow_l_per_min.',
    }),
  })
  .meta({ description: 'The plan as three files in a folder.' });

export type FileOutputConfig = z.infer<typeof fileOutputSchema>;

/** A hold waits this long for an older rename to come back from the disk. */
const RENAME_PATIENCE_MS = 200;
const STOP_PATIENCE_MS = 1_000;

interface Written {
  payload: OrderPayload;
  csv: string;
  card: string;
}

/** Writes the plan in force as `plan.json`, `runs.csv` and `card.txt` into one folder. */
export function createFileOutput(
  config: FileOutputConfig,
  context: OutputContext,
  calls: FileCalls = nodeFiles,
  timers: Timers = REAL_TIMERS,
): Output {
  const folder = resolve(context.baseFolder, config.folder);
  const desk = holdsFirst();
  const ran =
    config.ran === undefined
      ? null
      : watchRanFile({ output: config.name, file: config.ran, context, timers });
  /** Renames that the disk has not answered yet, in the sequence in which they were asked. */
  const renaming = new Set<Promise<unknown>>();
  let last: Answer | null = null;
  let stopped = false;

  const told: FileCalls = {
    ...calls,
    rename: async (from, to) => {
      const rename = calls.rename(from, to);
      renaming.add(rename);
      try {
        await rename;
      } finally {
        renaming.delete(rename);
      }
    },
  };

  async function write(
    replace: typeof replaceFiles,
    written: Written,
    signal: AbortSignal,
  ): Promise<Answer> {
    // plan.json comes last: it is the one that names the order.
    const files = [
      { name: 'card.txt', text: written.card },
      { name: 'runs.csv', text: written.csv },
      { name: 'plan.json', text: `${JSON.stringify(written.payload, null, 2)}\n` },
    ];
    // A rename that hangs on the disk cannot be called back, and may come after this one.
    const older = Promise.allSettled([...renaming]);
    const first = await settledWithin(older, RENAME_PATIENCE_MS);
    try {
      await replace(folder, files, told, () => !signal.aborted);
      if (first) return { kind: 'accepted', detail: `written to ${config.folder}` };
      const where = `${config.name}: ${config.folder}`;
      return {
        kind: 'unknown',
        detail: `${where}: written, but an older write hangs on the disk and may come after it; look at the disk`,
      };
    } catch (error) {
      return fileFault({ where: `${config.name}: ${config.folder}`, error });
    }
  }

  async function ask(
    how: 'deliver' | 'withdraw',
    orderId: string,
    act: (signal: AbortSignal) => Promise<Answer>,
  ): Promise<Answer> {
    if (stopped) return { kind: 'unknown', detail: 'the output is stopped' };
    const answer = await desk[how](orderId, act);
    // What a hold overtook says nothing of how the folder fares.
    if (!answer.detail.startsWith('overtaken')) last = answer;
    if (answer.kind !== 'accepted') context.log.warn({ orderId }, answer.detail);
    return answer;
  }

  return {
    name: config.name,
    start: async () => {
      stopped = false;
      ran?.start();
    },
    deliver: (orderId, confirmed) =>
      ask('deliver', orderId, async (signal) => {
        const over = { where: config.name, nowMs: context.now(), clock: context.clock };
        const refusal = refusalWhenOver(confirmed, over);
        if (refusal) return refusal;
        const payload = deliveryPayload({ orderId, confirmed, clock: context.clock });
        const [csv, card] = [csvOf(confirmed, context), cardOf(confirmed, null, context)];
        return write(replaceFiles, { payload, csv, card }, signal);
      }),
    withdraw: (orderId, withdrawal) =>
      ask('withdraw', orderId, (signal) => {
        const payload = withdrawalPayload({ orderId, withdrawal, clock: context.clock });
        const standing = standingAfter(withdrawal);
        const card = standing
          ? cardOf(standing, withdrawal, context)
          : emptyCard({ ...withdrawal, clock: context.clock });
        const written = { payload, csv: csvOf(standing, context), card };
        return write(replaceOrMakeRoom, written, signal);
      }),
    health: () => ({
      ok: last === null || last.kind === 'accepted',
      detail: last?.detail ?? `nothing written to ${config.folder} yet`,
    }),
    // Files need no closing; a write under way is waited for a while, and then stopped.
    stop: async () => {
      stopped = true;
      await ran?.stop();
      await desk.close(STOP_PATIENCE_MS);
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
