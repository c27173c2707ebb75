import { calmStep } from './calm.ts';
import { COARSE, FINE, type Grain } from './events.ts';
import { keyOf } from './key.ts';
import { PROGRAM } from './rules.ts';
import { confirmNewest, makePlan } from './store-actions.ts';
import { ANY, type Budget, copyOf, firstWorld, type World } from './world.ts';

/** What is explored whole: where it begins, and how often each thing may happen. */
export interface Scenario {
  name: string;
  /** `watering`: a plan was confirmed, and every output has it. */
  begins: 'with nothing' | 'watering';
  outputs: 1 | 2;
  may: Partial<Budget>;
  grain: 'fine' | 'coarse';
  /** Quick enough for every change. */
  isInShare: boolean;
}

/**
 * The whole list of what can happen does not fit into one exploration. Each of these is explored to
 * its last state; between them everything that can happen meets everything else in twos and threes.
 */
export const SCENARIOS: readonly Scenario[] = [
  {
    name: 'a stop and a crash, step by step',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, crash: 1, loss: 1 },
    grain: 'fine',
    isInShare: false,
  },
  {
    name: 'a first plan, a stop and a crash',
    begins: 'with nothing',
    outputs: 1,
    may: { plan: 1, confirm: 1, stopBed: 1, crash: 1, loss: ANY },
    grain: 'coarse',
    isInShare: true,
  },
  {
    name: 'a stop of a bed, another of everything, a crash',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, stopAll: 1, crash: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'two stops while the store refuses, a crash',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, stopOther: 1, refusal: 1, crash: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'a stop while the store refuses, two crashes',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, refusal: 1, crash: 2, loss: 1 },
    grain: 'coarse',
    isInShare: true,
  },
  {
    name: 'a stop, a second plan that its output may refuse',
    begins: 'watering',
    outputs: 1,
    may: { plan: 1, confirm: 1, stopBed: 1, reject: 1, loss: 1, giveUp: 1 },
    grain: 'coarse',
    isInShare: true,
  },
  {
    name: 'a stop and its release, a crash',
    begins: 'watering',
    outputs: 1,
    may: { release: 1, confirm: 1, stopAll: 1, crash: 1, loss: 1 },
    grain: 'coarse',
    isInShare: true,
  },
  {
    name: 'an output is moved, a stop, a second plan',
    begins: 'watering',
    outputs: 1,
    may: { plan: 1, confirm: 1, stopBed: 1, reload: 1, loss: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'an output is moved with another beside it, a stop, a crash',
    begins: 'watering',
    outputs: 2,
    may: { stopBed: 1, reload: 1, crash: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'noon and midnight, a stop, a second plan',
    begins: 'watering',
    outputs: 1,
    may: { plan: 1, confirm: 1, stopBed: 1, noon: 1, midnight: 1, loss: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'a medium forgets, has an older order or a forged one, a stop, a crash',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, tamper: 2, crash: 1, loss: 1 },
    grain: 'coarse',
    isInShare: true,
  },
  {
    name: 'a write that hangs and comes late, a stop, a crash',
    begins: 'watering',
    outputs: 1,
    may: { plan: 1, confirm: 1, stopBed: 1, late: 1, crash: 1, loss: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'an output that cannot be read for long, a stop, two crashes',
    begins: 'watering',
    outputs: 1,
    may: { stopBed: 1, blind: 1, crash: 2, loss: ANY, refusal: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'two outputs, a stop and a crash',
    begins: 'watering',
    outputs: 2,
    may: { stopBed: 1, crash: 1 },
    grain: 'coarse',
    isInShare: false,
  },
  {
    name: 'two outputs, a first plan and a stop of everything',
    begins: 'with nothing',
    outputs: 2,
    may: { plan: 1, confirm: 1, stopAll: 1 },
    grain: 'coarse',
    isInShare: false,
  },
];

const NOTHING: Budget = {
  plan: 0,
  release: 0,
  confirm: 0,
  stopAll: 0,
  stopBed: 0,
  stopOther: 0,
  reload: 0,
  crash: 0,
  noon: 0,
  midnight: 0,
  tamper: 0,
  refusal: 0,
  reject: 0,
  late: 0,
  blind: 0,
  giveUp: 0,
  loss: 0,
};

/** The first state of a scenario. */
export function firstOf({ begins, outputs, may }: Scenario): World {
  const budget = { ...NOTHING, ...may };
  if (begins === 'with nothing') return firstWorld(budget, outputs);
  const planned = copyOf(firstWorld(NOTHING, outputs));
  makePlan(planned, 'none');
  confirmNewest(planned, PROGRAM.guards);
  let world: World = planned;
  const key = (one: World) => keyOf(one, PROGRAM);
  for (let next: World | null = world; next !== null; next = calmStep(world, PROGRAM, key)) {
    world = next;
  }
  return { ...world, budget, key: undefined };
}

export function grainOf({ grain }: Scenario): Grain {
  return grain === 'fine' ? FINE : COARSE;
}

/** How often each thing may happen, in words. */
export function sayBounds({ begins, outputs, may, grain }: Scenario): string {
  const times = Object.entries(may).map(([what, most]) =>
    most === ANY ? `${what} any` : `${what} ${most}`,
  );
  const size = `${outputs} ${outputs === 1 ? 'output' : 'outputs'}`;
  return `begins ${begins}; ${size}; ${times.join(', ')}; ${grain}`;
}
