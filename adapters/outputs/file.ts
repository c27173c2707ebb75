import { constants } from 'node:fs';
import * as nodeFiles from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { z } from 'zod';
import { planAsItStands } from '../../calc/schedule/leeway-change.ts';
import {
  type Answer,
  type ConfirmedPlan,
  type Found,
  LANGUAGES,
  type Output,
  type OutputContext,
  outputNameSchema,
  takesChangesSchema,
  type Wanted,
  type Withdrawal,
} from '../contract.ts';
import { missedRuns, runsCsv, standingRuns } from '../plan-document.ts';
import { holdsFirst, settledWithin } from './holds-first.ts';
import {
  compareWithWanted,
  deliveryPayload,
  MOST_ORDER_BYTES,
  refusalWhenOver,
  standingAfter,
  withdrawalPayload,
} from './order-document.ts';
import { watchRanFile } from './ran-file.ts';
import {
  type FileCalls,
  type FileRights,
  fileFault,
  type NewFile,
  replaceFiles,
  replaceOrMakeRoom,
} from './replace-files.ts';
import { REAL_TIMERS, type Timers } from './timers.ts';

export const fileOutputSchema = z
  .strictObject({
    output: z.literal('file'),
    name: outputNameSchema.default('file'),
    takes_changes: takesChangesSchema,
    folder: z
      .string()
      .min(1)
      .meta({ description: 'Folder for plan.json, runs.csv and card.txt; relative to this file.' }),
    readable_by: z.enum(['owner', 'group', 'all']).default('owner').meta({
      description: 'Who may read the files: the user that the daemon runs as, its group, or all.',
    }),
    language: z
      .enum(LANGUAGES)
      .default('en')
      .meta({ description: 'Language of card.txt: en (English) or es (Spanish).' }),
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

const RIGHTS: Readonly<Record<FileOutputConfig['readable_by'], FileRights | undefined>> = {
  owner: undefined,
  group: { folder: 0o750, file: 0o640 },
  all: { folder: 0o755, file: 0o644 },
};

/** The files that an order is; plan.json comes last: it is the one that names the order. */
const FILE_NAMES = ['card.txt', 'runs.csv', 'plan.json'] as const;

/** Writes the plan in force as `plan.json`, `runs.csv` and `card.txt` into one folder. */
export function createFileOutput(
  config: FileOutputConfig,
  context: OutputContext,
  calls: FileCalls = nodeFiles,
  timers: Timers = REAL_TIMERS,
): Output {
  const own: OwnContext = { ...context, language: config.language };
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
    files: readonly NewFile[],
    signal: AbortSignal,
  ): Promise<Answer> {
    // A rename that hangs on the disk cannot be called back, and may come after this one.
    const older = Promise.allSettled([...renaming]);
    const first = await settledWithin(older, RENAME_PATIENCE_MS);
    try {
      await replace(folder, files, told, () => !signal.aborted, RIGHTS[config.readable_by]);
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

  /** Three files, each as it was written, are the order; any that differs is another. */
  async function find(wanted: Wanted | null): Promise<Found> {
    const where = `${config.name}: ${config.folder}`;
    try {
      const files = wanted === null ? [] : filesOf(wanted, own);
      const judged: Found[] = [];
      for (const name of FILE_NAMES) {
        const text = await textOf(join(folder, name), calls);
        const wantedText = files.find((file) => file.name === name)?.text ?? null;
        judged.push(compareWithWanted(text, wantedText, { where, nowMs: context.now() }));
      }
      const found = worstFound(judged);
      if (wanted !== null && found.kind !== 'as_wanted') desk.forget(wanted.orderId);
      return found;
    } catch (error) {
      const code = (error as { code?: string }).code ?? String(error);
      return { kind: 'unseen', detail: `${where}: cannot be read back (got ${code})` };
    }
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
        const files = filesOf({ kind: 'deliver', orderId, confirmed }, own);
        return write(replaceFiles, files, signal);
      }),
    withdraw: (orderId, withdrawal) =>
      ask('withdraw', orderId, (signal) =>
        write(replaceOrMakeRoom, filesOf({ kind: 'withdraw', orderId, withdrawal }, own), signal),
      ),
    find,
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

/** What weighs most of what was found: another order in plan.json, then anything else that differs. */
function worstFound(judged: readonly Found[]): Found {
  const others = judged.filter(({ kind }) => kind === 'other').toReversed();
  return others[0] ?? judged.find(({ kind }) => kind === 'nothing') ?? { kind: 'as_wanted' };
}

/** A file's text, or null when there is none. A pipe in its place is not waited for. */
async function textOf(path: string, calls: FileCalls): Promise<string | null> {
  let handle: nodeFiles.FileHandle;
  try {
    handle = await calls.open(path, constants.O_RDONLY | constants.O_NONBLOCK);
  } catch (error) {
    if ((error as { code?: string }).code === 'ENOENT') return null;
    throw error;
  }
  try {
    const { size } = await handle.stat();
    return size > MOST_ORDER_BYTES ? '' : await handle.readFile('utf8');
  } finally {
    await handle.close();
  }
}

/** What the files of this output are written from. */
type OwnContext = OutputContext & Pick<FileOutputConfig, 'language'>;

/** The files of an order: the same order gives the same bytes. */
function filesOf(wanted: Wanted, context: OwnContext): NewFile[] {
  const { clock, paper, language, units } = context;
  const { orderId } = wanted;
  const text = (payload: object) => `${JSON.stringify(payload, null, 2)}\n`;
  if (wanted.kind === 'deliver') {
    const { confirmed } = wanted;
    return [
      { name: 'card.txt', text: cardOf(confirmed, null, context) },
      { name: 'runs.csv', text: csvOf(confirmed, context) },
      { name: 'plan.json', text: text(deliveryPayload({ orderId, confirmed, clock })) },
    ];
  }
  const { withdrawal } = wanted;
  const standing = standingAfter(withdrawal);
  const card =
    standing === null
      ? paper(language, units).emptyCard(withdrawal)
      : cardOf(standing, withdrawal, context);
  return [
    { name: 'card.txt', text: card },
    { name: 'runs.csv', text: csvOf(standing, context) },
    { name: 'plan.json', text: text(withdrawalPayload({ orderId, withdrawal, clock })) },
  ];
}

function csvOf(confirmed: ConfirmedPlan | null, context: OutputContext): string {
  const { clock, paper } = context;
  const { plan = null, change } = confirmed ?? {};
  return runsCsv({
    runs: confirmed === null ? [] : standingRuns(confirmed),
    // Spares have reasons of their own, and cycles that were moved new ones.
    plan: plan !== null && change !== undefined ? planAsItStands(plan, change.cycles) : plan,
    clock,
    sayReason: paper('en', 'metric').reason,
  });
}

function cardOf(
  confirmed: ConfirmedPlan,
  withdrawal: Withdrawal | null,
  { units, paper, language }: OwnContext,
): string {
  const { plan, digest, confirmation, heldBedIds } = confirmed;
  const { who, atMs } = withdrawal ?? confirmation;
  return paper(language, units).card({
    plan,
    digest,
    state: withdrawal
      ? { kind: 'partly_held', who, atMs, why: withdrawal.why, heldBedIds }
      : { kind: 'confirmed', who, atMs, heldBedIds },
    runs: standingRuns(confirmed),
    missed: missedRuns(confirmed),
    ...(confirmed.change === undefined ? {} : { change: confirmed.change }),
  });
}
