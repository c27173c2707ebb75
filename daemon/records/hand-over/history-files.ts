import { planDocument } from '../../../adapters/plan-document.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Db } from '../../store/database.ts';
import { planById } from '../../store/plans.ts';
import { stepsBetween } from '../../store/steps.ts';
import { tableCsv } from '../table-csv.ts';
import { siteTime } from '../tables/table-context.ts';
import type { PackageFile } from './manifest.ts';
import { withoutAddresses } from './without-secrets.ts';

/** Plans are files of their own; raw weather answers are other people's, and large. */
const ELSEWHERE: ReadonlySet<string> = new Set(['plan', 'weather_reading', 'step']);

/** The whole log, every plan and every other row of the store. */
export function historyFiles(db: Db, clock: SiteClock): PackageFile[] {
  return [logFile(db, clock), ...planFiles(db, clock), ...tableFiles(db)];
}

function logFile(db: Db, clock: SiteClock): PackageFile {
  const steps = stepsBetween(db, 0, Number.MAX_SAFE_INTEGER);
  const content = tableCsv({
    file: 'log.csv',
    title: 'Log',
    about: '',
    columns: [
      `at (${clock.zone})`,
      'what happened',
      'who',
      `site day of the plan (${clock.zone})`,
      'revision of the plan',
      'digest of the plan (SHA-256)',
      'text',
    ],
    rows: steps.map((step) => [
      siteTime(clock, step.atMs),
      step.kind.replaceAll('_', ' '),
      step.who,
      step.siteDay ?? '',
      step.revision === null ? '' : String(step.revision),
      step.digest ?? '',
      withoutAddresses(step.what),
    ]),
  });
  return { path: 'log.csv', what: `the whole log, ${steps.length} lines, oldest first`, content };
}

function planFiles(db: Db, clock: SiteClock): PackageFile[] {
  const ids = db.prepare('SELECT plan_id AS planId FROM plan ORDER BY plan_id').all() as {
    planId: number;
  }[];
  return ids.flatMap(({ planId }) => {
    const stored = planById(db, planId);
    if (stored === null) return [];
    const { plan, cause, digest } = stored;
    const name = `plans/${plan.siteDay}-r${String(plan.revision).padStart(3, '0')}.json`;
    const document = { digest, cause, plan: planDocument(plan, clock) };
    const content = `${JSON.stringify(document, null, 1)}\n`;
    return [{ path: name, what: `plan of ${plan.siteDay}, revision ${plan.revision}`, content }];
  });
}

/** Every row as it stands in the store, one JSON object a line. */
function tableFiles(db: Db): PackageFile[] {
  const tables = db
    .prepare(
      `SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`,
    )
    .all() as { name: string }[];
  return tables
    .filter(({ name }) => !ELSEWHERE.has(name))
    .map(({ name }): PackageFile => {
      const rows = db.prepare(`SELECT * FROM "${name}" ORDER BY rowid`).all() as object[];
      const content = rows.map((row) => `${withoutAddresses(JSON.stringify(row))}\n`).join('');
      return { path: `history/${name}.jsonl`, what: `${rows.length} rows`, content };
    });
}
