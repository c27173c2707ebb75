import type { Messages } from './en.ts';
import { ACTIONS } from './es/actions.ts';
import { GATE } from './es/gate.ts';
import { GROUND } from './es/ground.ts';
import { LEEWAY } from './es/leeway.ts';
import { PAGE } from './es/page.ts';
import { PAGE_SETUP } from './es/page-setup.ts';
import { PLAN } from './es/plan.ts';
import { REPORTS } from './es/reports.ts';
import { SITE } from './es/site.ts';

/** Every message in Spanish. */
export const ES: Messages = {
  ...PLAN,
  ...ACTIONS,
  ...PAGE,
  ...PAGE_SETUP,
  ...SITE,
  ...GATE,
  ...GROUND,
  ...REPORTS,
  ...LEEWAY,
};
