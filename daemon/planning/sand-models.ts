import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fitRetention } from '../../calc/sand/retention-fit.ts';
import { sandClassModels } from '../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import { deriveSeedbedModel } from '../../calc/sand/seedbed-derive.ts';
import type { SeedbedModel } from '../../calc/sand/seedbed-model.ts';
import type { ModelOf } from '../../calc/schedule/bed-stores.ts';

/** Raised when the derivation changes, so that no older result is taken for a new one. */
const DERIVATION = 2;

/**
 * The planning model of a sand: a class's ready one, or the one worked out from a lab report. That
 * takes seconds, so a result is kept in the data folder under the hash of what it was made from.
 */
export function sandModels(dataFolder: string): ModelOf {
  return (sand, seedLayerMm) => {
    if (sand.lab === null) return classModel(sand.className);
    const { report, depthMm, under } = sand.lab;
    const made = { DERIVATION, report, depthMm, under, className: sand.className, seedLayerMm };
    const key = createHash('sha256').update(JSON.stringify(made)).digest('hex').slice(0, 32);
    const known = keptModel(dataFolder, key);
    if (known !== null) return known;
    const { sand: curve } = fitRetention(report, sandClass(sand.className).bed.sand);
    const { model } = deriveSeedbedModel({ sand: curve, depthMm, under }, seedLayerMm);
    keepModel(dataFolder, key, model);
    return model;
  };
}

function classModel(className: string): SeedbedModel {
  const known = sandClassModels[className];
  if (known === undefined) {
    throw new RangeError(
      `sand: no such class (got ${className}); name one of the config's classes`,
    );
  }
  return known.model;
}

function fileOf(dataFolder: string, key: string): string {
  return join(dataFolder, 'sands', `${key}.json`);
}

function keptModel(dataFolder: string, key: string): SeedbedModel | null {
  const file = fileOf(dataFolder, key);
  if (!existsSync(file)) return null;
  try {
    return JSON.parse(readFileSync(file, 'utf8')) as SeedbedModel;
  } catch {
    // A file cut short is worth no more than none: the model is worked out again.
    return null;
  }
}

/** Keeping is a convenience: a folder that cannot be written costs seconds, not the plan. */
function keepModel(dataFolder: string, key: string, model: SeedbedModel): void {
  const file = fileOf(dataFolder, key);
  try {
    mkdirSync(join(dataFolder, 'sands'), { recursive: true });
    writeFileSync(`${file}.new`, JSON.stringify(model));
    renameSync(`${file}.new`, file);
  } catch {
    return;
  }
}
