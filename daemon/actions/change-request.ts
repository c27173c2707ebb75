import type { WindChoice } from '../../calc/schedule/wind-answers.ts';

/** A change that a person makes or thinks of. The page sends it to preview and to change. */
export type ChangeRequest =
  | { kind: 'call'; hotterK: number; windFraction: number; cloudierFraction: number }
  | {
      kind: 'keep_off';
      beds: 'all' | string[];
      why: string;
      /** Null: until a person ends it. */
      untilMs: number | null;
      /** After a spray: how long its label keeps water off; 0: none. */
      labelIntervalS: number;
    }
  | { kind: 'end_keep_off'; keepOffId: number; byMistake: boolean }
  | {
      kind: 'water';
      bedId: string;
      /** Either a depth by hand over the bed, or a station that ran. */
      amount: { netMm: number } | { stationId: string; runS: number };
      /** Null: just now. */
      startMs: number | null;
    }
  | { kind: 'rotation'; bedId: string; rotations: number }
  | { kind: 'stage'; bedIds: string[]; to: string; why: string }
  | { kind: 'stage_back'; bedIds: string[]; why: string }
  | { kind: 'trim'; bedId: string; trimPct: number; why: string }
  /** An answer to what the plan asks about the wind. */
  | { kind: 'wind'; choice: WindChoice }
  /** A fresh plan; `lift` waters held beds again. */
  | { kind: 'replan'; lift: 'none' | 'all' | string[] };
