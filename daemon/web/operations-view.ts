import type { ReadinessFacts } from './readiness.ts';

/**
 * What the page's operating routes see of the daemon. The page is up before the daemon and over
 * every reload, so each field is null until there is something to see.
 */
export interface OperationsView {
  readiness: (() => ReadinessFacts) | null;
  metrics: (() => Promise<{ type: string; text: string }>) | null;
}

export function emptyView(): OperationsView {
  return { readiness: null, metrics: null };
}
