import type { StoppableOutput } from '../../adapters/contract.ts';
import { emptyPlace, type LeftPlace } from '../delivery/left-places.ts';
import type { Job, JobParts } from './job.ts';

const LOOK_MS = 5_000;
const LINGER_MS = 3_000;

/** A left place with the output that reaches it, and what is in the way. */
export interface OpenLeftPlace {
  place: LeftPlace;
  output: StoppableOutput;
  fault: string | null;
}

/** Empties the places that no output of the config writes to any more, until they are empty. */
export function leftPlacesJob(parts: JobParts, left: OpenLeftPlace[]): Job {
  const { config, db, log, now, onLeft } = parts;
  return {
    name: 'left places',
    every: { ms: LOOK_MS },
    async work() {
      const waiting = [...left];
      await Promise.allSettled(
        waiting.map(async (one) => {
          const { place, output } = one;
          const fault = await emptyPlace(place, output, { db, config, nowMs: now() });
          if (fault !== null && fault !== one.fault) {
            log.error({ place: place.place }, `${place.place}: runs may stand there: ${fault}`);
          }
          one.fault = fault;
          if (fault !== null) return;
          log.info({ place: place.place }, `${place.place}: emptied; nothing is written there now`);
          left.splice(left.indexOf(one), 1);
          onLeft?.();
          // A stop that was already on its way there is still answered.
          setTimeout(() => void output.stop(), LINGER_MS).unref();
        }),
      );
    },
  };
}
