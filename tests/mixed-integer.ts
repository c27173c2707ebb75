import highsLoader from 'highs';
import {
  isShort,
  litresOf,
  type SmallBed,
  type SmallCase,
  type SmallCycle,
  slotsOf,
  waterInSlot,
} from './optimum-case.ts';

/** The best plan of a small case, and how far it is proved. */
export interface Optimum {
  cycles: SmallCycle[];
  proved: boolean;
  /** True when a plan without a minute below the reserve exists. */
  feasible: boolean;
}

/** What of the minutes below the reserve counts first: their sum, or those of the bed with most. */
export type WhatCounts = 'all_beds' | 'worst_bed';

/** One arc of a bed's network: waiting a step, giving a cycle, or lasting to the horizon. */
interface Arc {
  from: string;
  to: string;
  cost: number;
  /** Steps below the reserve that it passes. */
  short: number;
  cycle: SmallCycle | null;
}

const STEP_S = 300;
/** Weights far enough apart that the order minutes, cycles, water is never traded. */
const COST_PER_SHORT_STEP = 10_000;
const COST_PER_CYCLE = 100;
/** Of the bed that is short for longest; no bed gains by as many steps as it takes to outweigh one. */
const COST_PER_WORST_STEP = 100 * COST_PER_SHORT_STEP;

/**
 * Solves a small case as a mixed integer programme.
 *
 * Without draining, a bed's level follows from the time and the rotations given so far. So each bed
 * is a path through a network of (step, rotations given), whose arcs are "wait a step" and "give a
 * cycle and rest"; a level below the reserve costs in the arc that passes it, and a dose above the
 * room has no arc. The paths of the beds meet only in the rows of pump, mains and stations. There
 * is no big constant in it, so its relaxation is tight.
 */
export async function optimumOf(
  one: SmallCase,
  limitS: number,
  counts: WhatCounts = 'all_beds',
): Promise<Optimum> {
  const hard = await solve(one, { allowShort: false, limitS, counts });
  if (hard.status === 'Infeasible') {
    const soft = await solve(one, { allowShort: true, limitS, counts });
    return { cycles: soft.cycles, proved: soft.status === 'Optimal', feasible: false };
  }
  return { cycles: hard.cycles, proved: hard.status === 'Optimal', feasible: true };
}

async function solve(
  one: SmallCase,
  options: { allowShort: boolean; limitS: number; counts: WhatCounts },
): Promise<{ status: string; cycles: SmallCycle[] }> {
  const objective: string[] = [];
  const rows: string[] = [];
  const binaries: string[] = [];
  const cycleOf = new Map<string, SmallCycle>();
  const use = new Map<string, string[]>();
  for (const [bedIndex, bed] of one.beds.entries()) {
    const arcs = arcsOf(one, bed, options.allowShort);
    if (arcs === null) return { status: 'Infeasible', cycles: [] };
    const balance = new Map<string, string[]>();
    const shortSteps: string[] = [];
    const term = (node: string, text: string) => {
      const terms = balance.get(node) ?? [];
      balance.set(node, terms);
      terms.push(text);
    };
    for (const [arcIndex, arc] of arcs.entries()) {
      const name = `x${bedIndex}_${arcIndex}`;
      term(arc.from, `- ${name}`);
      term(arc.to, `+ ${name}`);
      if (arc.short > 0) shortSteps.push(`+ ${arc.short} ${name}`);
      if (arc.cost > 0) objective.push(`+ ${arc.cost} ${name}`);
      if (arc.cycle === null) continue;
      binaries.push(name);
      cycleOf.set(name, arc.cycle);
      const litres = use.get('allowance') ?? [];
      use.set('allowance', litres);
      litres.push(`+ ${litresOf(bed, arc.cycle.rotations)} ${name}`);
      for (let slot = 0; slot < slotsOf(bed, arc.cycle.rotations); slot++) {
        const at = arc.cycle.start + slot;
        for (const [key, amount] of [
          [`pump ${at}`, bed.flowLPerMin],
          [`stations ${at}`, bed.stations],
          [`main ${bed.mainId} ${at}`, bed.flowLPerMin],
        ] as const) {
          const terms = use.get(key) ?? [];
          use.set(key, terms);
          terms.push(`+ ${amount} ${name}`);
        }
      }
    }
    if (options.counts === 'worst_bed' && shortSteps.length > 0)
      rows.push(`${shortSteps.join(' ')} - worst <= 0`);
    for (const [node, terms] of balance) {
      const supply = node === nodeOf(one.fromStep, 0) ? -1 : node === 'end' ? 1 : 0;
      rows.push(`${terms.join(' ')} = ${supply}`);
    }
  }
  if (options.counts === 'worst_bed') objective.push(`+ ${COST_PER_WORST_STEP} worst`);
  for (const [key, terms] of use) {
    const allowed = allowedOf(one, key);
    if (allowed !== null) rows.push(`${terms.join(' ')} <= ${allowed}`);
  }
  const text = [
    'Minimize',
    wrapped(objective.length > 0 ? objective : ['0 x0_0']),
    'Subject To',
    ...rows.map((row, index) => `c${index}: ${wrapped(row.split(' '))}`),
    'Binary',
    ...binaries,
    'End',
  ].join('\n');
  // The package's types describe its other build, in which the loader is the default's default.
  const load = highsLoader as unknown as typeof highsLoader.default;
  const highs = await load();
  const solution = highs.solve(text, {
    time_limit: options.limitS,
    mip_rel_gap: 0,
    mip_abs_gap: 0.01,
    log_to_console: false,
    output_flag: false,
  });
  const cycles = Object.entries(solution.Columns).flatMap(([name, column]) => {
    const cycle = cycleOf.get(name);
    return cycle !== undefined && 'Primal' in column && (column.Primal ?? 0) > 0.5 ? [cycle] : [];
  });
  return { status: solution.Status, cycles };
}

/** Every arc on a way from the start to the horizon; null when there is none. */
function arcsOf(one: SmallCase, bed: SmallBed, allowShort: boolean): Arc[] | null {
  const lost = new Float64Array(one.horizonStep + 1);
  for (let step = one.fromStep; step < one.horizonStep; step++) {
    lost[step + 1] = (lost[step] ?? 0) + (bed.demandMm[step] ?? 0);
  }
  const levelAt = (step: number, given: number) =>
    bed.startMm + given * bed.rotationMm - (lost[step] ?? 0);
  // Far below the dry limit no good plan goes; what is cut off costs more than it saves.
  const deepest = -3 * bed.capacityMm;
  const arcs: Arc[] = [];
  const seen = new Set<string>();
  const layers: [step: number, given: number][][] = [[[one.fromStep, 0]]];
  const reach = (
    from: string,
    step: number,
    given: number,
    short: number,
    cycle: SmallCycle | null,
  ) => {
    const netMm = (cycle?.rotations ?? 0) * bed.rotationMm;
    arcs.push({
      from,
      to: nodeOf(step, given),
      cost: short * COST_PER_SHORT_STEP + (cycle === null ? 0 : COST_PER_CYCLE + netMm),
      short,
      cycle,
    });
    if (seen.has(nodeOf(step, given))) return;
    seen.add(nodeOf(step, given));
    const layer = layers[step - one.fromStep] ?? [];
    layers[step - one.fromStep] = layer;
    layer.push([step, given]);
  };
  for (let offset = 0; offset <= one.lastEndStep - one.fromStep; offset++) {
    for (const [step, given] of layers[offset] ?? []) {
      const from = nodeOf(step, given);
      const shortUpTo = (until: number, levelOf: (at: number) => number) => {
        let short = 0;
        for (let at = step + 1; at <= until; at++) {
          if (isShort(one, bed, at, levelOf(at))) short += 1;
          if (levelOf(at) < deepest) return null;
        }
        return short > 0 && !allowShort ? null : short;
      };
      if (step < one.lastEndStep) {
        const waiting = shortUpTo(step + 1, (at) => levelAt(at, given));
        if (waiting !== null) reach(from, step + 1, given, waiting, null);
      }
      const lasting = shortUpTo(one.horizonStep, (at) => levelAt(at, given));
      if (lasting !== null) {
        arcs.push({
          from,
          to: 'end',
          cost: lasting * COST_PER_SHORT_STEP,
          short: lasting,
          cycle: null,
        });
      }
      if (step < one.firstStartStep) continue;
      for (let rotations = 1; ; rotations++) {
        const netMm = rotations * bed.rotationMm;
        const endS = step * STEP_S + rotations * bed.rotationS;
        if (levelAt(step, given) + netMm > bed.capacityMm + 1e-7) break;
        if (rotations > 1 && netMm > bed.capMm + 1e-7) break;
        if (endS > one.lastEndStep * STEP_S) break;
        if (bed.keepOffs.some(([a, b]) => step < b && endS > a * STEP_S)) break;
        // What ends after the last end starts no other cycle, so its rest may be cut there.
        const until = Math.min(
          Math.ceil((endS + one.limits.restMin * 60) / STEP_S),
          one.lastEndStep,
        );
        let wateredMm = 0;
        const partly = new Map<number, number>();
        for (let at = step; at < until; at++) {
          wateredMm += waterInSlot(bed, rotations, at - step);
          partly.set(at + 1, wateredMm);
        }
        const short = shortUpTo(until, (at) => levelAt(at, given) + (partly.get(at) ?? 0));
        if (short === null) continue;
        reach(from, until, given + rotations, short, { bedId: bed.id, start: step, rotations });
      }
    }
  }
  return onTheWay(arcs);
}

/** Leaves out what does not lead to the end. Arcs come in order of their start. */
function onTheWay(arcs: Arc[]): Arc[] | null {
  const leads = new Set(['end']);
  const kept: Arc[] = [];
  for (const arc of arcs.toReversed()) {
    if (!leads.has(arc.to)) continue;
    leads.add(arc.from);
    kept.push(arc);
  }
  return kept.length === 0 ? null : kept.reverse();
}

function nodeOf(step: number, given: number): string {
  return `${step}/${given}`;
}

function allowedOf(one: SmallCase, key: string): number | null {
  const [kind, id] = key.split(' ');
  if (kind === 'allowance') return one.limits.dayAllowanceL;
  if (kind === 'pump') return one.limits.pumpFlowLPerMin;
  if (kind === 'stations') return one.limits.stationsAtOnce;
  return one.limits.mains.find((pipe) => pipe.id === id)?.flowLPerMin ?? null;
}

/** The format allows short lines only. */
function wrapped(terms: readonly string[]): string {
  const lines: string[] = [];
  for (let index = 0; index < terms.length; index += 30) {
    lines.push(terms.slice(index, index + 30).join(' '));
  }
  return lines.join('\n ');
}
