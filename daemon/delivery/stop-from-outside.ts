import { type ChildProcess, fork } from 'node:child_process';
import type { Answer, ConfirmedPlan, StoppedAt } from '../../adapters/contract.ts';
import { standingAfter } from '../../adapters/outputs/order-document.ts';
import { within } from '../within.ts';
import type { StopOutcome } from '../words/delivery-words.ts';
import type { KeptSite } from './earlier-configs.ts';
import {
  type StopTask,
  type StopTaskResult,
  type StopWorker,
  stopWorker,
} from './outside-stop-part.ts';
import type { StopRequest } from './stop-now.ts';
import { entryBeside, isWritten } from './thread-entry.ts';

/** Where some beds alone are stopped, the store is asked for this long what goes on besides. */
const REMAINING_PATIENCE_MS = 700;
const ANSWER_PATIENCE_MS = 2_600;
const LAST_PATIENCE_MS = 300;

/** A stop past the daemon, made ready: its processes are there and wait for what to do. */
export interface OutsideStop {
  /** Stops water with whatever of the store and the outputs can be had. */
  stop(asked: StopRequest): Promise<StopOutcome>;
  /** Leaves everything behind, whatever hangs. */
  leave(): void;
}

/**
 * Makes ready to stop water from a process that is not the daemon. Each part goes by itself, in a
 * process of its own, and what hangs is left behind.
 */
export function outsideStop(site: KeptSite, dataFolder: string, begin = beginPart): OutsideStop {
  const { zone } = site;
  const names = site.outputs.map(({ output }) => output.name);
  const store = begin();
  const all = [
    ...site.outputs.map((one) => ({ ...one, label: one.output.name, child: begin() })),
    ...site.left.map((one) => ({
      ...one,
      label: `${one.output.name}, where it wrote before`,
      child: begin(),
    })),
  ];
  return {
    async stop(stop) {
      const stored = store.do({
        part: 'store',
        stop,
        siteId: site.site_id,
        zone,
        dataFolder,
        outputs: names,
      });
      stored.catch(() => undefined);
      let known: StopTaskResult | null = null;
      if (stop.beds !== 'all') {
        const given = await within(orNull(stored), REMAINING_PATIENCE_MS);
        known = given.ended ? given.value : null;
      }
      const remaining = known?.part === 'store' ? lessBeds(known.remaining, stop) : null;
      const orderId = known?.part === 'store' ? known.orderId : null;
      const stoppedAt = await Promise.all(
        all.map(async ({ output, base_folder: baseFolder, label, child }): Promise<StoppedAt> => {
          const said = child.do({
            part: 'output',
            stop,
            siteId: site.site_id,
            zone,
            units: site.units,
            stationsAtOnce: site.stations_at_once,
            output,
            baseFolder,
            orderId,
            remaining,
          });
          const given = await within(orNull(said), ANSWER_PATIENCE_MS);
          const answer: Answer =
            given.ended && given.value?.part === 'output'
              ? given.value.answer
              : { kind: 'unknown', detail: `no answer in ${ANSWER_PATIENCE_MS / 1000} s` };
          return { output: label, answer };
        }),
      );
      const given = await within(orNull(stored), LAST_PATIENCE_MS);
      const written = given.ended && given.value?.part === 'store' ? given.value : null;
      if (written?.orderId != null) {
        const answers = stoppedAt.filter(({ output }) => names.includes(output));
        const work: StopTask = { part: 'answers', orderId: written.orderId, answers };
        await within(orNull(store.do(work)), LAST_PATIENCE_MS);
      }
      const unwritten =
        written === null ? 'it does not answer' : written.orderId === null ? written.why : null;
      return { beds: stop.beds, stoppedAt, unwritten, keeper: 'nobody' };
    },
    leave() {
      for (const part of [store, ...all.map(({ child }) => child)]) part.leave();
    },
  };
}

/** A process of its own where the program was built; here where it runs as it is written. */
function beginPart(): StopWorker {
  return isWritten(import.meta.url) ? stopWorker() : partBeside();
}

function partBeside(): StopWorker {
  const child = fork(entryBeside(import.meta.url, 'outside-stop-child'), {
    serialization: 'advanced',
    stdio: 'ignore',
  });
  return {
    do: (work) => ask(child, work),
    leave() {
      if (child.connected) child.disconnect();
      child.unref();
    },
  };
}

function orNull(said: Promise<StopTaskResult>): Promise<StopTaskResult | null> {
  return said.catch(() => null);
}

function ask(child: ChildProcess, work: StopTask): Promise<StopTaskResult> {
  return new Promise((resolve, reject) => {
    child.once('message', (said) => resolve(said as StopTaskResult));
    child.once('error', reject);
    child.once('exit', () => reject(new Error('its process has ended')));
    child.send(work, (error) => {
      if (error !== null) reject(error);
    });
  });
}

/** What goes on besides the beds of the stop, whatever the store says of them. */
function lessBeds(remaining: ConfirmedPlan | null, stop: StopRequest): ConfirmedPlan | null {
  const { beds, who, why, atMs } = stop;
  return standingAfter({ siteId: '', siteDay: '', beds, who, why, atMs, remaining });
}
