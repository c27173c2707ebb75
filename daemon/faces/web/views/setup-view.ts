/** What the set-up shows of the config as it is. Secrets and hashes are not in it. */
export interface SetupView {
  /** True: there is no config of one's own yet. */
  isNew: boolean;
  file: string;
  fields: SetupFields;
  /** In words: where the weather comes from now; null: nowhere yet. */
  weather: string | null;
  people: { name: string; role: 'keeper' | 'watcher' }[];
  /** Sands that a bed can name. */
  sands: { name: string; words: string; isOwn: boolean }[];
  /** Month of today at the site, 1 to 12. */
  month: number;
}

/** Everything that is one field; text as in the config. */
export interface SetupFields {
  name: string;
  position: string;
  elevation: string;
  zone: string;
  units: string;
  pumpFlow: string;
  mains: string;
  beds: string;
  stations: string;
}

/** Answers of the page: only what changes. */
export interface SetupAsk {
  answers: Record<string, unknown>;
}

export interface SetupProblem {
  path: string;
  line: number | null;
  message: string;
}

/** What would be written. */
export interface SetupCheckView {
  problems: SetupProblem[];
  /** What a person should look at though it can be used. */
  warnings: SetupProblem[];
  /** How tables were read. */
  told: string[];
  difference: string[];
  shown: string;
  /** Null: it cannot be written. */
  digest: string | null;
  changed: boolean;
}

export interface SetupTrialView {
  ok: boolean;
  lines: string[];
  row: { name: string; value: string }[];
}

export interface SetupSandView {
  lines: string[];
  demand: string;
  points: { hours: number; fullPct: number }[];
  dryAfterH: number | null;
}

export interface SetupWrittenView {
  lines: string[];
  /** True: the daemon takes it up by itself now. */
  reloads: boolean;
}
