import { StoreFault } from './fault.ts';

/** True when another process holds the database: the next try may go well. */
export function isBusy(error: unknown): boolean {
  return codeOf(error).startsWith('SQLITE_BUSY');
}

/**
 * What a person is told when the store does not take what they asked for, or null when the error is
 * none of the store's: it holds for a moment (another process has it) or until somebody mends it.
 */
export function storeRefusal(error: unknown): string | null {
  if (error instanceof StoreFault) return error.message;
  if (isBusy(error)) {
    return 'database: another process holds it (got no turn to write); try again in a moment';
  }
  if (!/^SQLITE_(FULL|READONLY|IOERR|CANTOPEN)/.test(codeOf(error))) return null;
  const { message } = error as Error;
  return `database: refuses to be written (got ${message}); free some space or mend its rights, then try again`;
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}
