import { existsSync, readFileSync } from 'node:fs';
import { basename, extname, join } from 'node:path';
import { isMap, isScalar, parseDocument, visit } from 'yaml';
import type { Language } from '../../../../adapters/contract.ts';
import type { DisplayUnits } from '../../../../adapters/display-units.ts';
import { planDocument } from '../../../../adapters/plan-document.ts';
import type { SiteClock, SiteDay } from '../../../../adapters/site-clock.ts';
import type { PlanningContext } from '../../../planning/planning-context.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { auditEntriesBetween } from '../../../site/store/audit-log.ts';
import type { Db } from '../../../site/store/database.ts';
import { planById } from '../../../site/store/plans.ts';
import { type Say, sayIn } from '../../../words/language.ts';
import { makeReport } from '../make-report.ts';
import { reportCautions } from '../paper/report-html.ts';
import { estimateLines, remarkLines, type SiteRecord } from '../site-record.ts';
import { fileColumn, siteTime, tableCsv } from '../tables/record-table.ts';
import { MANIFEST, manifestText, type PackageFile } from './package-folder.ts';

/** Everything that goes into a package, its manifest last. Reads, writes nothing. */
export async function packageFiles(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay; language: Language },
): Promise<PackageFile[]> {
  const { db, config, nowMs } = context;
  const { clock, units, site } = config;
  const { record, page, tables } = await makeReport(context, asked);
  const say = sayIn(asked.language);
  const files: PackageFile[] = [
    { path: 'report.html', what: say('reports.package.report'), content: page },
    ...tables.map(({ file, title, content }) => ({
      path: file,
      what: say('reports.package.table', { title }),
      content,
    })),
    ...photoFiles(record, config, say),
    ...configFiles(config, say),
    ...historyFiles(db, clock, say),
  ];
  const readMe = readMeText(
    {
      siteName: site.name,
      ...asked,
      zone: clock.zone,
      madeAt: siteTime(clock, nowMs),
      units,
      estimates: estimateLines(record, say),
      remarks: remarkLines(record, say),
      files,
    },
    say,
  );
  const what = say('reports.package.read_me');
  const all = [{ path: 'README.txt', what, content: readMe }, ...files];
  return [...all, { path: MANIFEST, what: '', content: manifestText(all) }];
}

function photoFiles(
  { looks }: SiteRecord,
  { clock, dataFolder, site }: LoadedConfig,
  say: Say,
): PackageFile[] {
  const photos = looks.flatMap(({ photo, ...look }) =>
    photo === null ? [] : [{ photo, ...look }],
  );
  const kept = (photo: string) => join(dataFolder, 'looks', basename(photo));
  const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
  const columns = [
    fileColumn('photo'),
    fileColumn('bed'),
    fileColumn('seen', clock.zone),
    fileColumn('who'),
    fileColumn('in this package'),
  ];
  const rows = photos.map(({ photo, bedId, seenMs, who }) => [
    photo,
    nameOf(bedId),
    siteTime(clock, seenMs),
    who,
    existsSync(kept(photo)) ? 'yes' : 'no: its file is gone',
  ]);
  const content = tableCsv({ columns, rows }, say);
  const names = [...new Set(photos.map(({ photo }) => photo))].filter((one) =>
    existsSync(kept(one)),
  );
  return [
    {
      path: 'photos.csv',
      what: say('reports.package.photo_table', { photos: photos.length }),
      content,
    },
    ...names.map((name) => ({
      path: `photos/${basename(name)}`,
      what: '',
      content: readFileSync(kept(name)),
    })),
  ];
}

/** The config as it is today; its tables of beds and stations hold no secrets. */
function configFiles({ sources }: LoadedConfig, say: Say): PackageFile[] {
  return sources
    .filter((source) => existsSync(source))
    .map((source): PackageFile => {
      const text = readFileSync(source, 'utf8');
      const isYaml = ['.yaml', '.yml'].includes(extname(source).toLowerCase());
      return {
        path: `config/${basename(source)}`,
        what: say(isYaml ? 'reports.package.config' : 'reports.package.config_table'),
        content: isYaml ? configWithoutSecrets(text) : text,
      };
    });
}

/** The package's README.txt: what it is, what each file is, what in it is no measurement. */
function readMeText(
  given: {
    siteName: string;
    from: SiteDay;
    to: SiteDay;
    zone: string;
    madeAt: string;
    units: DisplayUnits;
    /** What is assumed or stands in, one line each. */
    estimates: readonly string[];
    remarks: readonly string[];
    files: readonly PackageFile[];
  },
  say: Say,
): string {
  const { siteName, from, to, zone, madeAt, estimates, remarks, files } = given;
  const within = (folder: string) => files.filter(({ path }) => path.startsWith(`${folder}/`));
  const plans = within('plans').length;
  const photos = within('photos').length;
  const inFolders = new Set(['plans', 'photos', 'history'].flatMap(within));
  const single = files.filter((file) => !inFolders.has(file));
  const list = (lines: readonly string[]) =>
    lines.map((line) => wrapped(`- ${line}`, '  ')).join('\n');
  const section = (heading: string, ...parts: string[]) => [heading, ...parts].join('\n');
  const units = say(`reports.units.${given.units}`);
  const sections = [
    section(
      say('reports.package.title', { site: siteName }),
      say('reports.package.made', { from, to, at: madeAt }),
    ),
    wrapped(say('reports.package.intro', { zone, units })),
    section(
      say('reports.package.what'),
      list([
        ...single.map(({ path, what }) => say('reports.package.file', { path, what })),
        say('reports.package.plans', { plans }),
        ...(photos === 0 ? [] : [say('reports.package.photos', { photos })]),
        say('reports.package.history'),
        say('reports.package.manifest', { file: MANIFEST }),
      ]),
    ),
    section(
      say('reports.package.estimated'),
      wrapped(say('reports.package.estimated.about')),
      list(estimates),
    ),
    section(
      say('reports.package.left_out'),
      list([say('reports.package.secrets'), say('reports.package.raw_weather')]),
    ),
    ...(remarks.length === 0 ? [] : [section(say('reports.package.remarks'), list(remarks))]),
    section(say('reports.package.cautions'), list(reportCautions(say))),
  ];
  return `${sections.join('\n\n')}\n`;
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
function historyFiles(db: Db, clock: SiteClock, say: Say): PackageFile[] {
  return [logFile(db, clock, say), ...planFiles(db, clock), ...tableFiles(db)];
}

function logFile(db: Db, clock: SiteClock, say: Say): PackageFile {
  const steps = auditEntriesBetween(db, 0, Number.MAX_SAFE_INTEGER);
  const columns = [
    fileColumn('at', clock.zone),
    fileColumn('what happened'),
    fileColumn('who'),
    fileColumn('site day of the plan', clock.zone),
    fileColumn('revision of the plan'),
    fileColumn('digest of the plan', 'SHA-256'),
    fileColumn('text'),
  ];
  const rows = steps.map((step) => [
    siteTime(clock, step.atMs),
    step.kind.replaceAll('_', ' '),
    step.who,
    step.siteDay ?? '',
    step.revision === null ? '' : String(step.revision),
    step.digest ?? '',
    withoutAddresses(step.what),
  ]);
  const what = say('reports.package.log', { lines: steps.length });
  return { path: 'log.csv', what, content: tableCsv({ columns, rows }, say) };
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
    return [{ path: name, what: '', content }];
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
      return { path: `history/${name}.jsonl`, what: '', content };
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
