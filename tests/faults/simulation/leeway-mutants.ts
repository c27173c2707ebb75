import type { StandingCycle } from '../../../calc/schedule/leeway-change.ts';
import { followDayJob } from '../../../daemon/service/jobs/follow-day-job.ts';
import type { Job, JobParts } from '../../../daemon/service/jobs/job.ts';
import { type Reckoner, reckonerHere } from '../../../daemon/service/reckoner/reckoner.ts';
import type { LeewayJudge } from '../../../daemon/site/gate/use-leeway.ts';
import { withinLeeway } from '../../../daemon/site/gate/within-leeway.ts';

const MIN_MS = 60_000;

/** The job that follows a day within the leeway of its plan. */
export const FOLLOWING = 'follow the day';

/** What can be wrong with how a day is followed, and has to be found out. */
export type LeewayMutant = 'no check' | 'spares without weather' | 'a spare used twice';

/**
 * The job that follows a day, with something wrong about it.
 *
 * @param parts With weather that is always measured: who believes it adds water though a station is silent.
 */
export function mutantFollowing(mutant: LeewayMutant, parts: JobParts): Job {
  const here = reckonerHere(parts);
  switch (mutant) {
    case 'spares without weather':
      return followDayJob({ ...parts, reckoner: here });
    case 'no check':
      return followDayJob({ ...parts, reckoner: greedy(here, farMoved) }, () => null);
    case 'a spare used twice': {
      const forgets: LeewayJudge = (given, cycles) => {
        const overstep = withinLeeway(given, cycles);
        const isAboutSpares =
          overstep?.code === 'used_twice' || overstep?.code === 'too_many_spares';
        return isAboutSpares ? null : overstep;
      };
      return followDayJob({ ...parts, reckoner: greedy(here, againAdded) }, forgets);
    }
  }
}

/** Changes what a look at the day has come to. */
function greedy(
  here: Reckoner,
  more: (cycles: readonly StandingCycle[]) => StandingCycle[],
): Reckoner {
  return {
    ...here,
    ask: (async (question: Parameters<Reckoner['ask']>[0], ...asked: never[]) => {
      const answer = await (here.ask as (...given: unknown[]) => Promise<unknown>)(
        question,
        ...asked,
      );
      if (question !== 'follow' || answer === null) return answer;
      const followed = answer as { change: { cycles: StandingCycle[] } | null };
      if (followed.change === null) return answer;
      const cycles = more(followed.change.cycles);
      return { ...followed, change: { ...followed.change, cycles } };
    }) as Reckoner['ask'],
  };
}

function laterBy(cycle: StandingCycle, byMs: number): StandingCycle {
  return {
    ...cycle,
    startMs: cycle.startMs + byMs,
    endMs: cycle.endMs + byMs,
    runs: cycle.runs.map((run) => ({ ...run, startMs: run.startMs + byMs })),
  };
}

/** The last cycle, much later than its leeway has it. */
function farMoved(cycles: readonly StandingCycle[]): StandingCycle[] {
  const last = cycles.toSorted((a, b) => a.startMs - b.startMs).at(-1);
  return cycles.map((one) => (one === last ? laterBy(one, 90 * MIN_MS) : one));
}

/** A spare once more, as if it had not been used. */
function againAdded(cycles: readonly StandingCycle[]): StandingCycle[] {
  const spares = cycles.filter(({ origin }) => 'spare' in origin);
  const last = cycles.toSorted((a, b) => a.endMs - b.endMs).at(-1);
  const [spare] = spares;
  if (spare === undefined || last === undefined) return [...cycles];
  return [...cycles, laterBy(spare, last.endMs + 40 * MIN_MS - spare.startMs)];
}
