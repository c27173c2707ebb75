import type { AdapterLog } from '../../adapters/contract.ts';
import { deliverOwed } from '../delivery/deliver-owed.ts';
import { deliveryMemory } from '../delivery/delivery-memory.ts';
import { openOutputs } from '../delivery/open-outputs.ts';
import { takeInstanceLock } from '../store/instance-lock.ts';
import { orderStates } from '../store/owed.ts';
import { within } from '../within.ts';
import type { Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';

/** What passing on works with. */
type PassOnSession = Pick<SiteSession, 'db' | 'config'>;

const PATIENCE_MS = 12_000;
const LOOK_AGAIN_MS = 200;
/** Outputs are not waited for longer than this, neither to start nor to stop. */
const OUTPUT_PATIENCE_MS = 3_000;
/** The person is told each answer; a log besides would say it twice. */
const SILENT: AdapterLog = { info: () => {}, warn: () => {}, error: () => {} };

/**
 * Sees an order on its way: the daemon sends it when one is running; without a daemon this command
 * sends it itself, so that a hold stops water even then. Tells what each output answered.
 */
export async function passOn(session: PassOnSession, shell: Shell, orderId: string): Promise<void> {
  const { db, config } = session;
  if (config.outputs.length === 0) {
    shell.out('No output is configured: nothing is sent anywhere.');
    return;
  }
  const lock = takeInstanceLock(config.dataFolder);
  try {
    if (lock === null) await waitForAnswers(session, orderId);
    else await sendOnce(session, shell, orderId);
  } finally {
    lock?.release();
  }
  for (const state of orderStates(db, orderId)) {
    const answer = state.lastAnswer ?? 'not sent yet';
    shell.out(
      `${state.output}: ${answer}${state.lastDetail === '' ? '' : `, ${state.lastDetail}`}`,
    );
  }
  const open = orderStates(db, orderId).filter(
    (state) => state.lastAnswer === null || state.lastAnswer === 'unknown',
  );
  if (open.length > 0) {
    shell.out(
      lock === null
        ? 'The daemon keeps trying.'
        : 'No daemon is running: start one with `npx dewbeat run` so that it keeps trying.',
    );
  }
}

async function sendOnce(session: PassOnSession, shell: Shell, orderId: string): Promise<void> {
  const { db, config } = session;
  const outputs = await openOutputs(config, {
    now: shell.nowMs,
    log: SILENT,
    report: () => undefined,
  });
  try {
    const starts = [...outputs.values()].map((output) => output.start());
    await within(Promise.all(starts), OUTPUT_PATIENCE_MS);
    const memory = deliveryMemory();
    const untilMs = shell.nowMs() + PATIENCE_MS;
    while (shell.nowMs() < untilMs) {
      await deliverOwed({
        db,
        siteId: config.site.id,
        clock: config.clock,
        outputs,
        now: shell.nowMs,
        memory,
      });
      if (answered(session, orderId)) return;
      await pause(LOOK_AGAIN_MS);
    }
  } finally {
    const stops = [...outputs.values()].map((output) => output.stop());
    await within(Promise.all(stops), OUTPUT_PATIENCE_MS);
  }
}

async function waitForAnswers(session: PassOnSession, orderId: string): Promise<void> {
  for (let waitedMs = 0; waitedMs < PATIENCE_MS; waitedMs += LOOK_AGAIN_MS) {
    if (answered(session, orderId)) return;
    await pause(LOOK_AGAIN_MS);
  }
}

function answered({ db }: PassOnSession, orderId: string): boolean {
  return orderStates(db, orderId).every(
    ({ lastAnswer }) => lastAnswer !== null && lastAnswer !== 'unknown',
  );
}

function pause(durationMs: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, durationMs));
}
