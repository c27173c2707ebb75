import { ACTIONS } from './en/actions.ts';
import { GATE } from './en/gate.ts';
import { GROUND } from './en/ground.ts';
import { LEEWAY } from './en/leeway.ts';
import { PAGE } from './en/page.ts';
import { PAGE_SETUP } from './en/page-setup.ts';
import { PLAN } from './en/plan.ts';
import { REPORTS } from './en/reports.ts';
import { SITE } from './en/site.ts';

/** Every message in English, in the ICU message format; values come with their units already. */
export const EN = {
  ...PLAN,
  ...ACTIONS,
  ...PAGE,
  ...PAGE_SETUP,
  ...SITE,
  ...GATE,
  ...GROUND,
  ...REPORTS,
  ...LEEWAY,
} as const;

/** What a message is found by; every language has all of them. */
export type MessageKey = keyof typeof EN;

/** A language's messages. */
export type Messages = Readonly<Record<MessageKey, string>>;
