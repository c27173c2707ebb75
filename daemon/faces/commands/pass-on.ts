import type { AdapterLog } from '../../../adapters/contract.ts';
import { type DeliveryContext, deliverOutbox } from '../../delivery/deliver-outbox.ts';
import { deliveryMemory } from '../../delivery/delivery-memory.ts';
import { keepSite, keptSiteOf, placesOf, rememberPlaces } from '../../delivery/earlier-configs.ts';
import { openOutputs } from '../../delivery/open-outputs.ts';
import { readBack, readBackMemory } from '../../delivery/read-back.ts';
import { orderStates } from '../../site/store/outbox.ts';
import { takeInstanceLock } from '../../site/store/running-daemon.ts';
import { within } from '../../within.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { sayOrderDelivery } from '../../words/delivery-words.ts';
import { alertReader, readerOf, sayTo } from '../../words/plan-words.ts';
import type { Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';

/** What passing on works with. */
type PassOnSession = Pick<SiteSession, 'db' | 'config' | 'demo'>;

/** A person is told after this at the latest. */
const PATIENCE_MS = 4_500;
const LOOK_AGAIN_MS = 100;
/** Outputs are not waited for longer than this, neither to start nor to stop. */
const OUTPUT_PATIENCE_MS = 2_000;
/** The person is told each answer; a log besides would say it twice. */
const SILENT: AdapterLog = { info: () => {}, warn: () => {}, error: () => {} };

/** What became of an order that was seen on its way. */
export interface PassedOn {
  /** True only when every output has it. */
  isTaken: boolean;
  /** Output by output, what is true, and what to do where it was not taken. */
  lines: string[];
}

/**
 * Sees an order on its way: the daemon sends it when one is running; without a daemon this command
 * sends it itself. Tells what each output answered, and never that it was taken when it was not.
 */
export async function passOn(
  session: PassOnSession,
  shell: Pick<Shell, 'nowMs'>,
  orderId: string,
): Promise<PassedOn> {
  const { db, config } = session;
  if (config.outputs.length === 0) {
    return { isTaken: true, lines: [say('order.no_output')] };
  }
  const lock = takeInstanceLock(config.dataFolder);
  try {
    if (lock === null) await waitForAnswers(session, orderId);
    else await sendOnce(session, shell, orderId);
  } finally {
    lock?.release();
  }
  const states = orderStates(db, orderId);
  const lines = states.map((one) => sayOrderDelivery(one, sayTo(readerOf(config))));
  const isTaken = states.every(({ lastAnswer }) => lastAnswer === 'accepted');
  const isOpen = states.some(({ lastAnswer }) => lastAnswer === null || lastAnswer === 'unknown');
  if (isOpen) {
    lines.push(lock === null ? say('order.daemon_tries') : say('order.no_daemon'));
  }
  return { isTaken, lines };
}

async function sendOnce(
  session: PassOnSession,
  shell: Pick<Shell, 'nowMs'>,
  orderId: string,
): Promise<void> {
  const { db, config } = session;
  const outputs = await openOutputs(config, {
    now: shell.nowMs,
    log: SILENT,
    report: () => undefined,
  });
  try {
    const starts = [...outputs.values()].map((output) => output.start());
    await within(Promise.all(starts), OUTPUT_PATIENCE_MS);
    rememberPlaces(db, config, shell.nowMs());
    // From here on there is something to stop, also when the config is wrong or gone by then.
    keepSite(config.dataFolder, keptSiteOf(config, session.demo, db));
    const context: DeliveryContext = {
      db,
      siteId: config.site.id,
      clock: config.clock,
      outputs,
      places: placesOf(config),
      now: shell.nowMs,
      looksFirst: true,
      say: sayTo(alertReader(config)),
      memory: deliveryMemory(),
    };
    const looks = readBackMemory();
    const untilMs = performance.now() + PATIENCE_MS;
    while (performance.now() < untilMs) {
      await readBack(context, looks);
      await deliverOutbox(context);
      if (answered(session, orderId)) return;
      await pause(LOOK_AGAIN_MS);
    }
  } finally {
    const stops = [...outputs.values()].map((output) => output.stop());
    await within(Promise.all(stops), OUTPUT_PATIENCE_MS);
  }
}

async function waitForAnswers(session: PassOnSession, orderId: string): Promise<void> {
  const untilMs = performance.now() + PATIENCE_MS;
  while (performance.now() < untilMs && !answered(session, orderId)) await pause(LOOK_AGAIN_MS);
}

function answered({ db }: PassOnSession, orderId: string): boolean {
  return orderStates(db, orderId).every(
    ({ lastAnswer }) => lastAnswer !== null && lastAnswer !== 'unknown',
  );
}

function pause(durationMs: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, durationMs));
}
