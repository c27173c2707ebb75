import { emptyLeft, hearKnown, judgeLook, keepStop, look, round } from './daemon-steps.ts';
import { mayLook } from './events.ts';
import { endCut, finish, isOver, sendStop } from './out-steps.ts';
import type { Rules } from './rules.ts';
import { copyOf, type World, type Writable, type WritableOut } from './world.ts';

/**
 * The next thing that happens when all goes well: the store takes its rows, outputs answer, and every
 * round has its turn. Each is one of the events that can happen anyway.
 *
 * @returns null when no round changes anything any more: it is quiet.
 */
export function calmStep(
  world: World,
  rules: Rules,
  keyOf: (world: World) => string,
): World | null {
  const next = copyOf(world);
  if (doWhatIsUnderWay(next, rules)) return next;
  const before = keyOf(world);
  for (let index = 0; index < world.outs.length; index++) {
    for (const act of [tryStops, round, lookAndJudge]) {
      const after = copyOf(world);
      const out = after.outs[index];
      if (out === undefined || (out.isLeft && act !== tryStops)) continue;
      act(after, out, rules);
      if (keyOf(after) !== before) return after;
    }
  }
  return null;
}

function tryStops(next: Writable, out: WritableOut, rules: Rules): void {
  const waiting = out.tries.find(({ stage }) => stage === 'waits');
  if (waiting !== undefined) sendStop(next, out, { stop: waiting.stop, rules });
}

function lookAndJudge(next: Writable, out: WritableOut, rules: Rules): void {
  if (!mayLook(out)) return;
  look(next, out, rules);
  judgeLook(next, out, rules);
}

/** Does one thing that was begun; false: there is none. */
function doWhatIsUnderWay(next: Writable, rules: Rules): boolean {
  if (next.isFull) {
    next.isFull = false;
    return true;
  }
  for (const medium of next.media) {
    if (medium.late.length === 0) continue;
    medium.late = [];
    return true;
  }
  if (next.toKeep.length > 0) {
    keepStop(next);
    return true;
  }
  for (const out of next.outs) {
    if (out.known.length > 0) {
      hearKnown(out);
      return true;
    }
    const cutAt = out.tasks.findIndex(({ stage }) => stage === 'cut');
    if (cutAt >= 0) {
      endCut(next, out, cutAt, false);
      return true;
    }
    const taskAt = out.tasks.findIndex(({ stage }) => stage === 'out');
    const task = out.tasks[taskAt];
    if (task !== undefined) {
      finish(next, out, { index: taskAt, fate: isOver(next, task) ? 'rejected' : 'taken', rules });
      return true;
    }
    if (out.look?.stage === 'judge') {
      judgeLook(next, out, rules);
      return true;
    }
    if (out.isLeft) {
      emptyLeft(next, out, rules);
      return true;
    }
  }
  return false;
}
