import type { Answer } from '../../adapters/contract.ts';
import { refusalWhenOver } from '../../adapters/outputs/order-document.ts';
import {
  remainingWithoutStops,
  repeatsStop,
  stopOrder,
  withdrawalUnderStops,
} from '../../adapters/outputs/stoppable.ts';
import { CLOCK, PHASES_MS, SITE_ID } from './fixed-days.ts';
import type { Rules } from './rules.ts';
import { foundAt, NONE, textNo, textOf, wantedNo } from './wanted-pool.ts';
import type { Asker, Out, Task, Writable, WritableOut } from './world.ts';

/** An order on its way into an output. */
export interface Asked {
  text: number;
  kind: 'deliver' | 'withdraw';
  asker: Asker;
}

/** How the far side deals with an order: `answer lost` has taken it, `lost` has not. */
export type Fate = 'taken' | 'answer lost' | 'lost' | 'rejected';

/** Asks an output, through what keeps stops before everything and what keeps orders in sequence. */
export function ask(world: Writable, out: WritableOut, asked: Asked, rules: Rules): void {
  const { kind, asker } = asked;
  let { text } = asked;
  if (kind === 'deliver' && rules.heedsStops && out.stops.length > 0) {
    answerTo(world, out, asker, 'unknown', rules);
    return;
  }
  const wanted = wantedNo(text);
  if (kind === 'withdraw' && asker.by !== 'stop' && wanted?.kind === 'withdraw') {
    text = textOf(withdrawalUnderStops(wanted, stopsOf(world, out))).no;
  }
  const { orderId } = textNo(text);
  if (out.overtaken.includes(orderId)) {
    answerTo(world, out, asker, 'rejected', rules);
    return;
  }
  if (out.accepted.includes(orderId)) {
    settle(world, out, { asker, text, kind, answer: 'accepted' }, rules);
    return;
  }
  const shared = out.tasks.findIndex(
    (task) => task.stage !== 'cut' && textNo(task.text).orderId === orderId,
  );
  if (shared >= 0) {
    out.tasks = out.tasks.map((task, index) =>
      index === shared ? { ...task, askers: [...task.askers, asker] } : task,
    );
    return;
  }
  if (kind === 'withdraw') overtake(world, out, rules);
  const stage = kind === 'deliver' && out.tasks.length > 0 ? 'queued' : 'out';
  out.tasks = [...out.tasks, { text, kind, stage, askers: [asker] }];
}

/** A withdrawal goes before everything: what is under way is cut off and has nothing more to say. */
function overtake(world: Writable, out: WritableOut, rules: Rules): void {
  const before = out.tasks;
  const cut = before
    .filter(({ stage }) => stage !== 'queued')
    .map((task): Task => ({ ...task, stage: 'cut', askers: [] }));
  // Of several that hang nothing can be told apart unless they may come late.
  out.tasks = world.budget.late > 0 ? onceEach(cut) : cut.slice(0, 1).map(asAny);
  for (const task of before) {
    if (task.stage === 'cut') continue;
    remember(out, 'overtaken', task.text);
    const answer = task.stage === 'queued' ? 'rejected' : 'unknown';
    for (const asker of task.askers) answerTo(world, out, asker, answer, rules);
  }
}

function onceEach(cut: Task[]): Task[] {
  const texts = [...new Set(cut.map(({ text }) => text))].sort((a, b) => a - b);
  return texts.map((text) => ({ text, kind: 'deliver', stage: 'cut', askers: [] }));
}

function asAny(task: Task): Task {
  return { ...task, kind: 'deliver', text: 0 };
}

/** An order comes to its end at the far side. */
export function finish(
  world: Writable,
  out: WritableOut,
  { index, fate, rules }: { index: number; fate: Fate; rules: Rules },
): void {
  const task = out.tasks[index];
  if (task === undefined) return;
  out.tasks = out.tasks.filter((_, at) => at !== index);
  const takes = fate === 'taken' || fate === 'answer lost';
  if (takes) takeEffect(world, out, task.text);
  // An older write that hangs may come after this one: nobody can vouch for it.
  const isVouched = !out.tasks.some(({ stage }) => stage === 'cut');
  let answer: Answer['kind'] = 'unknown';
  if (fate === 'rejected') answer = 'rejected';
  if (fate === 'taken' && isVouched) answer = 'accepted';
  if (answer === 'accepted') remember(out, 'accepted', task.text);
  for (const asker of task.askers) {
    settle(world, out, { asker, text: task.text, kind: task.kind, answer }, rules);
  }
  begin(out);
}

/** What was cut off ends without a trace, or comes all the same. */
export function endCut(world: Writable, out: WritableOut, index: number, isLate: boolean): void {
  const task = out.tasks[index];
  if (task === undefined) return;
  out.tasks = out.tasks.filter((_, at) => at !== index);
  if (isLate) putPast(world, out.place, task.text);
  begin(out);
}

/** Nobody waits for an order any longer, and it is still on its way. */
export function loseAskers(
  world: Writable,
  out: WritableOut,
  { index, rules }: { index: number; rules: Rules },
): void {
  const task = out.tasks[index];
  if (task === undefined) return;
  out.tasks = out.tasks.map((one, at) => (at === index ? { ...one, askers: [] } : one));
  for (const asker of task.askers) answerTo(world, out, asker, 'unknown', rules);
}

/** Whether a plan is refused because its day is over. */
export function isOver(world: Writable, task: Task): boolean {
  const wanted = wantedNo(task.text);
  if (wanted?.kind !== 'deliver') return false;
  const nowMs = PHASES_MS[world.phase] ?? 0;
  return refusalWhenOver(wanted.confirmed, { where: 'out', nowMs, clock: CLOCK }) !== null;
}

/** Lets a stop go out: its own order, from what was seen to stand there when it came. */
export function sendStop(
  world: Writable,
  out: WritableOut,
  { stop, rules }: { stop: number; rules: Rules },
): void {
  const tried = out.tries.find((one) => one.stop === stop);
  const asked = world.stops[stop]?.asked;
  if (tried === undefined || asked === undefined) return;
  if (out.stops.at(-1) !== stop) {
    out.tries = out.tries.filter((one) => one !== tried);
    return;
  }
  out.tries = out.tries.map((one) => (one === tried ? { ...one, stage: 'asked' } : one));
  const looked = wantedNo(tried.looked);
  const order = stopOrder(asked, {
    siteId: SITE_ID,
    siteDay: CLOCK.siteDayOf(asked.atMs),
    remaining: remainingWithoutStops(looked, tried.isSeen ? { kind: 'as_wanted' } : null),
    stops: stopsOf(world, out),
  });
  const text = textOf(order).no;
  ask(world, out, { text, kind: 'withdraw', asker: { by: 'stop', stop } }, rules);
}

/** The stops that an output knows of and the store, as far as the output has heard, does not. */
export function stopsOf(world: Writable, out: Pick<Out, 'stops'>) {
  return out.stops.flatMap((index) => world.stops[index]?.asked ?? []);
}

/** An answer on its way out of an output: a stop that came meanwhile is heeded once more. */
function settle(
  world: Writable,
  out: WritableOut,
  given: { asker: Asker; text: number; kind: 'deliver' | 'withdraw'; answer: Answer['kind'] },
  rules: Rules,
): void {
  const { asker, text, kind } = given;
  let { answer } = given;
  if (kind === 'deliver' && rules.heedsStops && out.stops.length > 0) answer = 'unknown';
  if (answer === 'accepted') {
    out.last = text;
    // Who waits for a stop is told so too.
    if (kind === 'withdraw') for (const stop of out.stops) tellTaken(world, out, stop);
  }
  answerTo(world, out, asker, answer, rules);
}

function answerTo(
  world: Writable,
  out: WritableOut,
  asker: Asker,
  answer: Answer['kind'],
  rules: Rules,
): void {
  switch (asker.by) {
    case 'round':
      if (world.isFull) {
        out.kept = { seq: asker.seq, answer };
        world.storeFault = true;
      } else writeAnswer(out, asker.seq, answer, rules);
      return;
    case 'right':
      if (!world.isFull) writeAnswer(out, asker.seq, answer, rules);
      out.look = null;
      return;
    case 'empty':
      out.look = null;
      return;
    case 'stop':
      answerStop(world, out, asker.stop, answer);
      return;
    case 'left':
      if (answer === 'accepted' && !world.isFull) leaveWhenEmpty(world, out);
  }
}

/** Writes down what has come of an order: what came of older ones is read by nobody. */
export function writeAnswer(
  out: WritableOut,
  seq: number,
  answer: Answer['kind'],
  rules: Rules,
): void {
  if (seq !== out.owed.length && rules.supersedes) return;
  out.owed = out.owed.map((one) => (one.seq === seq ? { ...one, last: answer } : one));
}

function answerStop(world: Writable, out: WritableOut, stop: number, kind: Answer['kind']): void {
  const asked = world.stops[stop]?.asked;
  if (asked === undefined) return;
  const again = repeatsStop(asked, { answer: { kind, detail: '' }, stops: stopsOf(world, out) });
  out.tries = again
    ? out.tries.map((one) => (one.stop === stop ? { ...one, stage: 'waits' } : one))
    : out.tries.filter((one) => one.stop !== stop);
}

function tellTaken(world: Writable, out: WritableOut, stop: number): void {
  world.stops = world.stops.map((one, index) =>
    index === stop && !one.takenAt.includes(out.place)
      ? { ...one, takenAt: [...one.takenAt, out.place] }
      : one,
  );
}

function leaveWhenEmpty(world: Writable, out: WritableOut): void {
  const standing = world.media[out.place]?.standing ?? NONE;
  const found = foundAt(standing, out.last, world.phase);
  if (found.kind === 'as_wanted' || found.kind === 'nothing') {
    world.outs = world.outs.filter((one) => one !== out);
  }
}

function begin(out: WritableOut): void {
  const [first] = out.tasks;
  if (first?.stage !== 'queued') return;
  out.tasks = out.tasks.map((task, at) => (at === 0 ? { ...task, stage: 'out' } : task));
}

function remember(out: WritableOut, what: 'accepted' | 'overtaken', text: number): void {
  const { orderId } = textNo(text);
  // Such an order comes under another id the next time, or a minute later.
  if (/(^|-with-)(unknown|left)-/.test(orderId)) return;
  if (!out[what].includes(orderId)) out[what] = [...out[what], orderId].sort();
}

/** What the daemon has asked for stands from here on. */
function takeEffect(world: Writable, out: WritableOut, text: number): void {
  const medium = world.media[out.place];
  if (medium === undefined || medium.standing === text) return;
  const seqOf = (no: number) =>
    no === NONE ? 0 : (out.owed.find(({ row }) => row.orderId === textNo(no).orderId)?.seq ?? 0);
  const [is, was] = [seqOf(text), medium.isStrange ? 0 : seqOf(medium.standing)];
  if (is > 0 && was > is) {
    const ids = [textNo(text).orderId, textNo(medium.standing).orderId];
    world.broken = [...world.broken, `${out.name}: ${ids[0]} took effect over the newer ${ids[1]}`];
  }
  medium.standing = text;
  medium.isStrange = false;
}

/** Something stands there past the daemon. */
export function putPast(world: Writable, place: number, text: number): void {
  const medium = world.media[place];
  if (medium === undefined) return;
  medium.standing = text;
  medium.isStrange = true;
  world.stops = world.stops.map((stop) =>
    stop.takenAt.includes(place)
      ? { ...stop, takenAt: stop.takenAt.filter((one) => one !== place) }
      : stop,
  );
}
