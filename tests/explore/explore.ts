import { calmStep } from './calm.ts';
import { eventsOf, type Grain } from './events.ts';
import { Fingerprints } from './fingerprints.ts';
import { keyOf } from './key.ts';
import { brokenAlways, brokenWhenQuiet } from './promises.ts';
import type { Rules } from './rules.ts';
import type { World } from './world.ts';

/** What an exploration has come to. */
export interface Explored {
  states: number;
  /** Events from the first state to the farthest one. */
  depth: number;
  transitions: number;
  /** States in which no round changes anything any more. */
  quiet: number;
  /** False: it was ended before every state was met. */
  isWhole: boolean;
  /** The first promise that was broken, with the events that lead to it; null: none was. */
  counterexample: { broken: string[]; events: string[] } | null;
}

/** More steps than this until it is quiet are taken for going round in circles. */
const MOST_CALM_STEPS = 400;

/**
 * Meets every state that can be reached from a first one, nearest first, and holds each against the
 * promises: at once, and after everything has gone well for as long as it takes.
 *
 * @param given.mostStates Ends there; the result says so.
 */
export function explore(given: {
  first: World;
  rules: Rules;
  grain: Grain;
  mostStates?: number;
}): Explored {
  const { first, rules, grain, mostStates = Number.POSITIVE_INFINITY } = given;
  const textOf = (world: World) => keyOf(world, rules);
  const met = new Fingerprints();
  const cameFrom: number[] = [];
  const cameBy: number[] = [];
  const calmed = new Fingerprints();
  const result: Explored = {
    states: 0,
    depth: 0,
    transitions: 0,
    quiet: 0,
    isWhole: true,
    counterexample: null,
  };

  const pathTo = (no: number): string[] => {
    const steps: number[] = [];
    for (let at = no; at > 0; at = cameFrom[at] ?? 0) steps.unshift(cameBy[at] ?? 0);
    let world = first;
    return steps.map((step) => {
      const event = eventsOf(world, rules, grain)[step];
      if (event === undefined) throw new Error('explore: a path cannot be gone again');
      world = event.next;
      return event.label;
    });
  };

  /** Lets all go well from a state on; gives what is broken when it is quiet. */
  const brokenInTheEnd = (from: World): string[] => {
    let world = from;
    const firstNo = calmed.size;
    for (let step = 0; step < MOST_CALM_STEPS; step++) {
      const { no, isNew } = calmed.add(textOf(world));
      if (!isNew) return no < firstNo ? [] : ['it goes round in circles'];
      const next = calmStep(world, rules, textOf);
      if (next === null) {
        result.quiet += 1;
        return brokenWhenQuiet(world);
      }
      const broken = brokenAlways(next);
      if (broken.length > 0) return broken;
      world = next;
    }
    return ['it does not come to rest'];
  };

  const judge = (world: World, no: number): boolean => {
    const at = brokenAlways(world);
    const broken = at.length > 0 ? at : brokenInTheEnd(world);
    if (broken.length === 0) return true;
    const events = pathTo(no);
    if (at.length === 0) events.push('(from here on all goes well)');
    result.counterexample = { broken, events };
    return false;
  };

  met.add(textOf(first));
  cameFrom.push(0);
  cameBy.push(0);
  let level: { world: World; no: number }[] = [{ world: first, no: 0 }];
  if (!judge(first, 0)) return result;
  while (level.length > 0) {
    const nextLevel: { world: World; no: number }[] = [];
    for (const { world, no } of level) {
      const events = eventsOf(world, rules, grain);
      result.transitions += events.length;
      for (const [index, { next }] of events.entries()) {
        const one = met.add(textOf(next));
        if (!one.isNew) continue;
        cameFrom[one.no] = no;
        cameBy[one.no] = index;
        result.states = met.size;
        if (!judge(next, one.no)) return result;
        nextLevel.push({ world: next, no: one.no });
      }
      if (met.size > mostStates) return { ...result, isWhole: false };
    }
    if (nextLevel.length > 0) result.depth += 1;
    level = nextLevel;
  }
  return result;
}
