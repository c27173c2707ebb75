import { GUARDS, type Guard } from '../../daemon/site/gate/judge-confirm.ts';

/** What the model decides by: the program's own decisions, or a mutant with one of them swapped. */
export interface Rules {
  guards: readonly Guard[];
  /** What stands at the outputs is looked at. */
  readsBack: boolean;
  /** Nothing is delivered while a stop waits for the store. */
  heedsStops: boolean;
  /** An older order ends when a newer one is owed. */
  supersedes: boolean;
  /** Where an output writes to counts: a plan does not follow it. */
  knowsPlaces: boolean;
}

export const PROGRAM: Rules = {
  guards: GUARDS,
  readsBack: true,
  heedsStops: true,
  supersedes: true,
  knowsPlaces: true,
};

/** One decision swapped in each, with the scenario that has to find it out. */
export const MUTANTS: readonly { name: string; rules: Rules; foundIn: string }[] = [
  {
    name: 'no read-back',
    rules: { ...PROGRAM, readsBack: false },
    foundIn: 'a medium forgets, has an older order or a forged one, a stop, a crash',
  },
  {
    name: 'delivers although the store does not know of a stop',
    rules: { ...PROGRAM, heedsStops: false },
    foundIn: 'a first plan, a stop and a crash',
  },
  {
    name: 'older orders are never superseded',
    rules: { ...PROGRAM, supersedes: false },
    foundIn: 'a stop and its release, a crash',
  },
  {
    name: 'a gate without held_since',
    rules: { ...PROGRAM, guards: GUARDS.filter(({ code }) => code !== 'held_since') },
    foundIn: 'a first plan, a stop and a crash',
  },
  {
    name: 'a plan follows its output to another place',
    rules: { ...PROGRAM, knowsPlaces: false },
    foundIn: 'an output is moved, a stop, a second plan',
  },
];
