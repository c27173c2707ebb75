import type { LoadedConfig } from '../config/loaded-config.ts';
import type { Db } from '../store/database.ts';

/** What a person's act is done on: the command line and the page hand in the same. */
export interface ActionContext {
  db: Db;
  config: LoadedConfig;
  nowMs: number;
}

/** An act that is refused: what is wrong with what was asked, and what to do. Nothing was done. */
export class ActionRefused extends Error {
  override name = 'ActionRefused';
  /** Which part of what was asked is wrong: `bed`, `until`, `why`. */
  readonly part: string;

  constructor(part: string, message: string) {
    super(`${part}: ${message}`);
    this.part = part;
  }
}
