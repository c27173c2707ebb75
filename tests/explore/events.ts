import {
  askStop,
  crash,
  emptyLeft,
  hearKnown,
  judgeLook,
  keepStop,
  look,
  moveFirstOutput,
  round,
} from './daemon-steps.ts';
import { endCut, type Fate, finish, isOver, loseAskers, putPast, sendStop } from './out-steps.ts';
import type { Rules } from './rules.ts';
import { confirmNewest, makePlan } from './store-actions.ts';
import { deliverTexts, forgedFrom } from './tampering.ts';
import { NONE } from './wanted-pool.ts';
import { ANY, type Budget, copyOf, type World, type Writable, type WritableOut } from './world.ts';

/** Something that can happen in a world, with what becomes of it. */
export interface Event {
  label: string;
  next: World;
}

/** How finely things are interleaved. */
export interface Grain {
  /** That the store knows of a stop reaches an output some time after it does. */
  isKnownLater: boolean;
  /** A look is judged some time after it was taken. */
  isJudgedLater: boolean;
}

export const FINE: Grain = { isKnownLater: true, isJudgedLater: true };
export const COARSE: Grain = { isKnownLater: false, isJudgedLater: false };

/** Everything that can happen next, each with the world after it. */
export function eventsOf(world: World, rules: Rules, grain: Grain): Event[] {
  const events: Event[] = [];
  const happen = (label: string, act: (next: Writable) => unknown) => {
    const next = copyOf(world);
    if (act(next) === false) return;
    settleAtOnce(next, rules, grain);
    events.push({ label, next });
  };
  const spend = (what: keyof Budget, label: string, act: (next: Writable) => unknown) => {
    if (world.budget[what] === 0) return;
    happen(label, (next) => {
      if (world.budget[what] !== ANY) next.budget[what] -= 1;
      return act(next);
    });
  };
  personEvents(world, rules, spend);
  siteEvents(world, happen, spend);
  if (world.toKeep.length > 0) happen('the store is told of a stop', keepStop);
  for (let index = 0; index < world.outs.length; index++) {
    outEvents(world, { index, rules }, happen, spend);
  }
  return events;
}

const set =
  <K extends 'phase' | 'isFull'>(what: K, value: Writable[K]) =>
  (next: Writable) => {
    next[what] = value;
  };

type Happen = (label: string, act: (next: Writable) => unknown) => void;
type Spend = (what: keyof Budget, label: string, act: (next: Writable) => unknown) => void;

function personEvents(world: World, rules: Rules, spend: Spend): void {
  if (!world.isFull) {
    spend('plan', 'a plan is made', (next) => makePlan(next, 'none'));
    const isOpen = world.lifted.some((by) => by === 0);
    if (isOpen) spend('release', 'a plan that lifts is made', (next) => makePlan(next, 'all'));
    spend('confirm', 'the newest plan is confirmed', (next) => confirmNewest(next, rules.guards));
  }
  spend('stopAll', 'a stop of everything', (next) => askStop(next, 'all', rules));
  spend('stopBed', 'a stop of g1', (next) => askStop(next, ['g1'], rules));
  spend('stopOther', 'a stop of g2', (next) => askStop(next, ['g2'], rules));
}

function siteEvents(world: World, happen: Happen, spend: Spend): void {
  if (world.phase === 0) spend('noon', 'noon passes', set('phase', 1));
  if (world.phase < 2) spend('midnight', 'midnight passes', set('phase', 2));
  spend('crash', 'the daemon ends and starts again', crash);
  if (!world.isFull) {
    spend('reload', 'the config is read again: A writes to another place', moveFirstOutput);
    spend('refusal', 'the store refuses to be written', set('isFull', true));
  } else {
    happen('the store takes rows again', set('isFull', false));
  }
  world.media.forEach((medium, place) => {
    for (const text of medium.late) {
      const without = (next: Writable) => {
        const one = next.media[place];
        if (one !== undefined) one.late = one.late.filter((other) => other !== text);
      };
      happen(`a write that hung at place ${place} is gone`, without);
      spend('late', `a write that hung at place ${place} comes now`, (next) => {
        without(next);
        putPast(next, place, text);
      });
    }
    if (medium.standing === NONE) return;
    spend('tamper', `place ${place} forgets`, (next) => putPast(next, place, NONE));
    for (const text of deliverTexts(world, place)) {
      if (text === medium.standing) continue;
      const label = `an older order is put back at place ${place}`;
      spend('tamper', label, (next) => putPast(next, place, text));
    }
    const forged = forgedFrom(world, place);
    if (forged !== null) {
      const label = `a forged order is put at place ${place}`;
      spend('tamper', label, (next) => putPast(next, place, forged));
    }
  });
}

function outEvents(
  world: World,
  { index, rules }: { index: number; rules: Rules },
  happen: Happen,
  spend: Spend,
): void {
  const out = world.outs[index];
  if (out === undefined) return;
  const { name } = out;
  const at = (act: (next: Writable, out: WritableOut) => unknown) => (next: Writable) => {
    const own = next.outs[index];
    return own === undefined ? false : act(next, own);
  };
  out.tasks.forEach((task, taskAt) => {
    if (task.stage === 'cut') {
      happen(
        `${name}: what was overtaken ends`,
        at((next, own) => endCut(next, own, taskAt, false)),
      );
      const late = at((next, own) => endCut(next, own, taskAt, true));
      spend('late', `${name}: what was overtaken comes now`, late);
      return;
    }
    if (task.stage === 'out') {
      const end = (fate: Fate) =>
        at((next, own) => finish(next, own, { index: taskAt, fate, rules }));
      const what = `${name}: ${task.kind}`;
      if (isOver(copyOf(world), task)) {
        happen(`${what} refused: the day is over`, end('rejected'));
      } else {
        happen(`${what} taken`, end('taken'));
        spend('loss', `${what} taken, its answer lost`, end('answer lost'));
        spend('loss', `${what} lost`, end('lost'));
        spend('reject', `${what} refused for good`, end('rejected'));
      }
    }
    const isAsked = task.askers.some(({ by }) => by !== 'stop' && by !== 'left');
    if (isAsked) {
      const give = at((next, own) => loseAskers(next, own, { index: taskAt, rules }));
      spend('giveUp', `${name}: ${task.kind} is waited for no longer`, give);
    }
  });
  for (const { stop, stage } of out.tries) {
    if (stage !== 'waits') continue;
    happen(
      `${name}: the stop is tried again`,
      at((next, own) => sendStop(next, own, { stop, rules })),
    );
  }
  if (out.isLeft) {
    const isAsked = out.tasks.some(({ askers }) => askers.some(({ by }) => by === 'left'));
    if (!isAsked)
      happen(
        `${name}: is to be emptied`,
        at((next, own) => emptyLeft(next, own, rules)),
      );
    return;
  }
  if (out.known.length > 0)
    happen(
      `${name}: hears that the store knows`,
      at((_, own) => hearKnown(own)),
    );
  happen(
    `${name}: a round`,
    at((next, own) => round(next, own, rules)),
  );
  if (mayLook(out))
    happen(
      `${name}: is looked at`,
      at((next, own) => look(next, own, rules)),
    );
  if (out.look?.stage === 'judge') {
    happen(
      `${name}: what was seen is judged`,
      at((next, own) => judgeLook(next, own, rules)),
    );
  }
  if (!out.lookedAt) {
    spend(
      'blind',
      `${name}: cannot be read for long`,
      at((_, own) => {
        own.lookedAt = true;
      }),
    );
  }
}

/** Its own sending looks after an order that is under way. */
export function mayLook(out: World['outs'][number]): boolean {
  const isUnderWay = out.tasks.some(({ askers }) => askers.some(({ by }) => by === 'round'));
  return out.look === null && !isUnderWay && !out.isLeft;
}

/** What the grain does not tell apart happens at once. */
function settleAtOnce(next: Writable, rules: Rules, grain: Grain): void {
  for (const out of [...next.outs]) {
    if (!grain.isKnownLater && out.known.length > 0) hearKnown(out);
    if (!grain.isJudgedLater && out.look?.stage === 'judge') judgeLook(next, out, rules);
  }
}
