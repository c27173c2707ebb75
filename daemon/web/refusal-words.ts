import type { Refusal, RefusalCode } from '../gate/judge-confirm.ts';

/** What a person at the page can do about a refused confirm, where the gate names a command. */
const ADVICE: Readonly<Partial<Record<RefusalCode, string>>> = {
  no_plan: 'make a fresh one',
  digest_too_short: 'read the newest plan and confirm that one',
  revision_outdated: 'read it and confirm that one',
  digest_outdated: 'read it and confirm what you have read',
  day_over: 'make a fresh one',
  held_since: 'make a fresh plan that lifts it',
  keep_off_since: 'make a fresh one',
  overtaken: 'make a fresh one, so that no bed drinks twice',
};

/** A refusal of the gate for a person at the page: the same reason, and advice without commands. */
export function refusalWords({ code, text }: Refusal): string {
  const command = text.indexOf('`dewbeat ');
  const advice = ADVICE[code];
  if (command === -1 || advice === undefined) return text;
  const reasonEnd = text.lastIndexOf('; ', command);
  return reasonEnd === -1 ? text : `${text.slice(0, reasonEnd)}; ${advice}`;
}
