import type { Rules } from './rules.ts';
import type { Asker, Out, World } from './world.ts';

/**
 * A world as text: two worlds with the same text go on alike. What nothing reads any more is left
 * out of it, and outputs that are alike are put in one sequence, so that a world and its mirror image
 * are one.
 */
export function keyOf(world: World & { key?: string | undefined }, rules: Rules): string {
  world.key ??= workedOut(world, rules);
  return world.key;
}

function workedOut(world: World, rules: Rules): string {
  const { budget, plans, confirms, holds, lifted, stops } = world;
  const isMirrored =
    budget.reload === 0 && world.outs.every(({ isLeft, place }) => !isLeft && place < 2);
  const outs = world.outs.map((out) => outKey(world, out, rules));
  if (isMirrored) outs.sort();
  return [
    world.phase,
    Object.values(budget).join(''),
    plans.map(({ key }) => key).join(' '),
    confirms.map(({ key }) => key).join(' '),
    holds.map(({ beds, atMs, inForceId }) => `${beds}@${atMs}!${inForceId}`).join(' '),
    lifted.join(),
    stops.map(({ asked, holdId }) => `${asked.beds}@${asked.atMs}=${holdId}`).join(' '),
    `${world.isFull ? 'F' : ''}${world.storeFault ? 'f' : ''}`,
    world.toKeep.join(),
    world.unwritten.join(),
    ...outs,
  ].join('|');
}

function outKey(world: World, out: Out, rules: Rules): string {
  const medium = world.media[out.place];
  const { budget } = world;
  const mayStop =
    out.stops.length > 0 ||
    out.tries.length > 0 ||
    budget.stopAll + budget.stopBed + budget.stopOther > 0;
  const newest = out.owed.at(-1);
  const ids = (all: readonly string[]) =>
    all
      .filter((id) => !rules.supersedes || isAskedAgain(out, newest?.row.orderId ?? '', id))
      .join();
  const owed = (rules.supersedes ? out.owed.slice(-1) : out.owed).map(({ last }) => last).join();
  const places = out.owed.map(({ row }) => (row.toPlace === 'place of A' ? '' : 'x')).join('');
  return [
    out.isLeft ? 'L' : out.place === 2 ? 'N' : '',
    owed,
    out.place === 2 ? places : out.owed.length,
    out.lookedAt ? 'l' : '',
    mayStop ? out.last : '',
    out.stops.join(),
    out.known.join(),
    ids(out.accepted),
    ids(out.overtaken),
    out.tasks.map(({ text, stage, askers }) => `${text}${stage}${askers.map(askerKey)}`).join('+'),
    out.tries.map(({ stop, looked, stage }) => `${stop}.${looked}.${stage}`).join('+'),
    out.look === null ? '' : Object.values(out.look).join('.'),
    out.kept === null ? '' : `${out.kept.seq}${out.kept.answer}`,
    medium?.standing,
    medium?.isStrange ? 's' : '',
    medium?.late.join(),
    world.stops.map(({ takenAt }) => (takenAt.includes(out.place) ? 't' : '-')).join(''),
  ].join(';');
}

/** Of older orders nothing is asked again: what an output remembers of them is never read. */
function isAskedAgain(out: Out, newest: string, id: string): boolean {
  if (id === newest || id.endsWith(`-with-${newest}`)) return true;
  return id.startsWith('stop-') && (out.tries.length > 0 || out.stops.length > 0);
}

function askerKey(asker: Asker): string {
  return `${asker.by[0]}${'seq' in asker ? asker.seq : ''}${'stop' in asker ? asker.stop : ''}`;
}
