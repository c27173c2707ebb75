import { ACTIONS } from './en/actions.ts';
import { GROUND } from './en/ground.ts';
import { PLAN } from './en/plan.ts';
import { REPORTS } from './en/reports.ts';

/** Every message in English, in the ICU message format; values come with their units already. */
export const EN = { ...PLAN, ...ACTIONS, ...GROUND, ...REPORTS } as const;

/** What a message is found by; every language has all of them. */
export type MessageKey = keyof typeof EN;

/** A language's messages. */
export type Messages = Readonly<Record<MessageKey, string>>;
