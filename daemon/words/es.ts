import type { Messages } from './en.ts';
import { ACTIONS } from './es/actions.ts';
import { PLAN } from './es/plan.ts';

/** Every message in Spanish. */
export const ES: Messages = { ...PLAN, ...ACTIONS };
