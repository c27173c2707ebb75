import { ACTIONS } from './en/actions.ts';
import { GATE } from './en/gate.ts';
import { PLAN } from './en/plan.ts';
import { SITE } from './en/site.ts';

/** Every message in English, in the ICU message format; values come with their units already. */
export const EN = { ...PLAN, ...ACTIONS, ...SITE, ...GATE } as const;

/** What a message is found by; every language has all of them. */
export type MessageKey = keyof typeof EN;

/** A language's messages. */
export type Messages = Readonly<Record<MessageKey, string>>;
