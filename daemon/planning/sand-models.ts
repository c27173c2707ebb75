import { createHash } from 'node:crypto';
import { existsSync, readFileSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { memberSpread } from '../../calc/futures/member-spread.ts';
import type { BedProfile } from '../../calc/sand/bed-column.ts';
import type { VanGenuchten } from '../../calc/sand/hydraulic-properties.ts';
import { possibleSands } from '../../calc/sand/possible-sands.ts';
import { ColumnStuck } from '../../calc/sand/richards-column.ts';
import { membersOfClass } from '../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import {
  DERIVATION,
  type DerivedSeedbed,
  deriveSeedbedModel,
  GREATEST_SOUND_COST,
} from '../../calc/sand/seedbed-fit.ts';
import type { SeedbedModel } from '../../calc/sand/seedbed-model.ts';
import { SEED_LAYER_MM } from '../../calc/sand/seedbed-store.ts';
import type { MembersOf } from '../../calc/schedule/bed-stores.ts';
import type { BedSand } from '../../calc/schedule/site.ts';
import { makeOwnFolder, writeOwnFile } from '../site/store/own-files.ts';

/**
 * The models that a sand is planned with: one of a sand whose report says all, several where it
 * leaves something open or where only the class is known. A class's are ready; working one out takes
 * seconds, so a result is kept in the data folder under the hash of what it was made from.
 */
export function sandMembers(dataFolder: string): MembersOf {
  const modelsOf = sandModels(dataFolder);
  return (sand, seedLayerMm) => memberSpread(modelsOf(sand, seedLayerMm));
}

/** The planning models that a sand may have, all as likely. */
export function sandModels(
  dataFolder: string,
): (sand: BedSand, seedLayerMm: number) => readonly SeedbedModel[] {
  return (sand, seedLayerMm) => {
    const standIn = sandClass(sand.className);
    if (sand.lab !== null) {
      const { depthMm, under } = sand.lab;
      const found = sandsOfReport(sand, sand.lab).map((one) =>
        derived(dataFolder, { sand: one, depthMm, under }, seedLayerMm),
      );
      const models = found.flatMap((one) =>
        one !== null && one.cost <= GREATEST_SOUND_COST ? [one.model] : [],
      );
      // A fit or a column that got stuck says nothing of its sand: the class stands in for it.
      return models.length === found.length ? models : [...models, ...ofClass(sand.className)];
    }
    if (seedLayerMm === SEED_LAYER_MM) return ofClass(sand.className);
    const models = membersOfClass(sand.className).flatMap((member) => {
      const found = derived(dataFolder, { ...standIn.bed, sand: member.sand }, seedLayerMm);
      return found === null ? [] : [found.model];
    });
    return models.length > 0 ? models : ofClass(sand.className);
  };
}

/** Fitting a report's curve takes a good part of a second, and every plan and look asks for it. */
const fitted = new WeakMap<BedSand, VanGenuchten[]>();

function sandsOfReport(sand: BedSand, lab: NonNullable<BedSand['lab']>): readonly VanGenuchten[] {
  const known = fitted.get(sand) ?? possibleSands(lab.report, sandClass(sand.className));
  fitted.set(sand, known);
  return known;
}

function ofClass(className: string): SeedbedModel[] {
  return membersOfClass(className).map(({ model }) => model);
}

/** What was found of a bed; null: its column got stuck, which a plan may not fail for. */
type Found = DerivedSeedbed | null;

/** The model of a bed, from the data folder or worked out and kept there. */
function derived(dataFolder: string, bed: BedProfile, seedLayerMm: number): Found {
  const made = JSON.stringify({ DERIVATION, bed, seedLayerMm });
  const key = createHash('sha256').update(made).digest('hex').slice(0, 32);
  const inHand = models.get(key);
  if (inHand !== undefined) {
    if (!existsSync(fileOf(dataFolder, key))) keepModel(dataFolder, key, inHand);
    return inHand;
  }
  const kept = keptModel(dataFolder, key);
  const found = kept === undefined ? workedOut(bed, seedLayerMm) : kept;
  if (kept === undefined) keepModel(dataFolder, key, found);
  models.set(key, found);
  return found;
}

function workedOut(bed: BedProfile, seedLayerMm: number): Found {
  try {
    return deriveSeedbedModel(bed, seedLayerMm);
  } catch (error) {
    if (error instanceof ColumnStuck) return null;
    throw error;
  }
}

/** Every plan and look asks for the same few; what was worked out of a model stays with it. */
const models = new Map<string, Found>();

function fileOf(dataFolder: string, key: string): string {
  return join(dataFolder, 'sands', `${key}.json`);
}

/** What the data folder has of a bed; undefined: nothing yet. */
function keptModel(dataFolder: string, key: string): Found | undefined {
  const file = fileOf(dataFolder, key);
  if (!existsSync(file)) return undefined;
  try {
    return JSON.parse(readFileSync(file, 'utf8')) as Found;
  } catch {
    // A file cut short is worth no more than none: the model is worked out again.
    return undefined;
  }
}

/** Keeping is a convenience: a folder that cannot be written costs seconds, not the plan. */
function keepModel(dataFolder: string, key: string, found: Found): void {
  const file = fileOf(dataFolder, key);
  try {
    makeOwnFolder(join(dataFolder, 'sands'));
    writeOwnFile(`${file}.new`, JSON.stringify(found));
    renameSync(`${file}.new`, file);
  } catch {
    return;
  }
}
