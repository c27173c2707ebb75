import { existsSync, readFileSync } from 'node:fs';
import { basename, extname, join } from 'node:path';
import { isMap, isScalar, parseDocument, visit } from 'yaml';
import { columnMeasures, unitsLine } from '../../../../adapters/display-units.ts';
import { planDocument } from '../../../../adapters/plan-document.ts';
import type { SiteClock, SiteDay } from '../../../../adapters/site-clock.ts';
import type { PlanningContext } from '../../../planning/planning-context.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { auditEntriesBetween } from '../../../site/store/audit-log.ts';
import type { Db } from '../../../site/store/database.ts';
import { planById } from '../../../site/store/plans.ts';
import { makeReport } from '../make-report.ts';
import { REPORT_CAUTIONS } from '../paper/report-html.ts';
import { estimateLines, type SiteRecord } from '../site-record.ts';
import { siteTime, tableCsv } from '../tables/record-table.ts';
import { MANIFEST, manifestText, type PackageFile } from './package-folder.ts';

/** Everything that goes into a package, its manifest last. Reads, writes nothing. */
export async function packageFiles(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay },
): Promise<PackageFile[]> {
  const { db, config, nowMs } = context;
  const { clock, units, site } = config;
  const { record, page, tables } = await makeReport(context, asked);
  const measures = columnMeasures(units);
  const files: PackageFile[] = [
    { path: 'report.html', what: 'the season on one page, to read and to print', content: page },
    ...tables.map(({ file, title, content }) => ({
      path: file,
      what: `table, ${title.charAt(0).toLowerCase()}${title.slice(1)}`,
      content,
    })),
    ...photoFiles(record, config),
    ...configFiles(config),
    ...historyFiles(db, clock),
  ];
  const readMe = readMeText({
    siteName: site.name,
    ...asked,
    zone: clock.zone,
    madeAt: siteTime(clock, nowMs),
    units: unitsLine(measures),
    estimates: estimateLines(record),
    remarks: record.remarks,
    files,
  });
  const all = [{ path: 'README.txt', what: 'this text', content: readMe }, ...files];
  return [...all, { path: MANIFEST, what: 'digests', content: manifestText(all) }];
}

function photoFiles(
  { looks }: SiteRecord,
  { clock, dataFolder, site }: LoadedConfig,
): PackageFile[] {
  const photos = looks.flatMap(({ photo, ...look }) =>
    photo === null ? [] : [{ photo, ...look }],
  );
  const kept = (photo: string) => join(dataFolder, 'looks', basename(photo));
  const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
  const content = tableCsv({
    file: 'photos.csv',
    title: 'Photos',
    about: '',
    columns: ['photo', 'bed', `seen (${clock.zone})`, 'who', 'in this package'],
    rows: photos.map(({ photo, bedId, seenMs, who }) => [
      photo,
      nameOf(bedId),
      siteTime(clock, seenMs),
      who,
      existsSync(kept(photo)) ? 'yes' : 'no: its file is gone',
    ]),
  });
  const names = [...new Set(photos.map(({ photo }) => photo))].filter((one) =>
    existsSync(kept(one)),
  );
  return [
    { path: 'photos.csv', what: `${photos.length} photos with the look of each`, content },
    ...names.map((name) => ({
      path: `photos/${basename(name)}`,
      what: 'a photo',
      content: readFileSync(kept(name)),
    })),
  ];
}

/** The config as it is today; its tables of beds and stations hold no secrets. */
function configFiles({ sources }: LoadedConfig): PackageFile[] {
  return sources
    .filter((source) => existsSync(source))
    .map((source): PackageFile => {
      const text = readFileSync(source, 'utf8');
      const isYaml = ['.yaml', '.yml'].includes(extname(source).toLowerCase());
      return {
        path: `config/${basename(source)}`,
        what: isYaml ? 'the config as it is today, without its secrets' : 'a table of the config',
        content: isYaml ? configWithoutSecrets(text) : text,
      };
    });
}

/** The package's README.txt: what it is, what each file is, what in it is no measurement. */
function readMeText(given: {
  siteName: string;
  from: string;
  to: string;
  zone: string;
  madeAt: string;
  units: string;
  /** What is assumed or stands in, one line each. */
  estimates: readonly string[];
  remarks: readonly string[];
  files: readonly PackageFile[];
}): string {
  const { siteName, from, to, zone, files } = given;
  const plans = files.filter(({ path }) => path.startsWith('plans/'));
  const photos = files.filter(({ path }) => path.startsWith('photos/'));
  const history = files.filter(({ path }) => path.startsWith('history/'));
  const single = files.filter((file) => ![plans, photos, history].some((of) => of.includes(file)));
  const list = (lines: readonly string[]) =>
    lines.map((line) => wrapped(`- ${line}`, '  ')).join('\n');
  return `${siteName}: hand-over of the water records
${from} to ${to}, made ${given.madeAt}

${wrapped(`This folder holds the whole history of the site as dewbeat kept it. Begin with report.html: open it in any browser, it asks nothing from outside and prints on paper across. All times are of the zone ${zone} with their offset, unless a file says otherwise. ${given.units} Each column names its unit.`)}

WHAT IS WHAT
${list(single.map(({ path, what }) => `${path}: ${what}`))}
${list([
  `plans/: ${plans.length} plans as JSON, every revision, each with its digest and the cause it was made for. SI units, named at the end of each name (mm, s, c for degrees Celsius)`,
  ...(photos.length === 0
    ? []
    : [`photos/: ${photos.length} photos of the looks, named in photos.csv`]),
  `history/: the rows of the store as they stand, one JSON object a line; *_ms are milliseconds since 1970-01-01T00:00Z. No row was ever changed or deleted`,
  `${MANIFEST}: SHA-256 of every file but itself. "dewbeat hand-over --check FOLDER" compares, and so does any program for checksums`,
])}

WHAT IS ESTIMATED
${wrapped('In report.html an estimate has the mark ≈; in the tables the last column names each estimated number of its row and why. In all of this package:')}
${list(given.estimates)}

WHAT IS LEFT OUT
${list([
  'Secrets: PIN hashes, passwords, tokens, and what follows the host in an address are hidden in config/; its comments are left out.',
  'Raw answers of weather services, which belong to others: the weather that was reckoned with stands in the plans and in weather-by-day.csv.',
])}
${given.remarks.length === 0 ? '' : `\nWHAT ELSE SHOULD BE KNOWN\n${list(given.remarks)}\n`}
CAUTIONS
${list(REPORT_CAUTIONS)}
`;
}

/** Text broken before the 79th column. */
function wrapped(text: string, indent = ''): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > 78) {
      lines.push(line);
      line = `${indent}${word}`;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line].join('\n');
}

/** Plans are files of their own; raw weather answers are other people's, and large. */
const ELSEWHERE: ReadonlySet<string> = new Set(['plan', 'weather_reading', 'step']);

/** The whole log, every plan and every other row of the store. */
function historyFiles(db: Db, clock: SiteClock): PackageFile[] {
  return [logFile(db, clock), ...planFiles(db, clock), ...tableFiles(db)];
}

function logFile(db: Db, clock: SiteClock): PackageFile {
  const steps = auditEntriesBetween(db, 0, Number.MAX_SAFE_INTEGER);
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

/** What stands in a secret's place. */
const HIDDEN = '(hidden)';

/** Keys whose value is a secret, or may hold one. Names of variables and of files are none. */
const SECRET_KEY =
  /(^|_)(pin|password|passphrase|secret|token|webhook|credentials|authorization|api_?key)$/i;
const ADDRESS = /\b([a-z][a-z0-9+.-]*:\/\/)([^\s/?#"']+)([^\s"']*)/gi;

/**
 * A config's YAML without its secrets: values of secret keys and what follows an address's host are
 * hidden, and comments are left out, since nobody knows what stands in them. Pure.
 */
function configWithoutSecrets(text: string): string {
  const document = parseDocument(text);
  const noComments = (node: unknown) => {
    const commented = node as { comment?: string | null; commentBefore?: string | null };
    commented.comment = null;
    commented.commentBefore = null;
  };
  noComments(document);
  visit(document, {
    Node: (_, node) => noComments(node),
    Pair(_, pair) {
      if (isScalar(pair.key)) noComments(pair.key);
      if (!isScalar(pair.key) || !SECRET_KEY.test(String(pair.key.value))) return undefined;
      if (isMap(pair.value)) return undefined;
      pair.value = document.createNode(HIDDEN);
      return undefined;
    },
    Scalar(_, node) {
      noComments(node);
      if (typeof node.value === 'string') node.value = withoutAddresses(node.value);
    },
  });
  return document.toString();
}

/** Text in which an address ends with its host: what follows, and who asks, may be secret. Pure. */
function withoutAddresses(text: string): string {
  return text.replace(ADDRESS, (_, scheme: string, host: string, rest: string) => {
    const bare = host.includes('@') ? host.slice(host.lastIndexOf('@') + 1) : host;
    return `${scheme}${bare}${rest === '' || rest === '/' ? rest : `/${HIDDEN}`}`;
  });
}
