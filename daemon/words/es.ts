import type { Messages } from './en.ts';
import { ACTIONS } from './es/actions.ts';
import { GROUND } from './es/ground.ts';
import { PLAN } from './es/plan.ts';
import { REPORTS } from './es/reports.ts';

/** Every message in Spanish. */
export const ES: Messages = { ...PLAN, ...ACTIONS, ...GROUND, ...REPORTS };
