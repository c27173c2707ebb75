import type { Language } from '../../../../adapters/contract.ts';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { makePlan } from '../../../../daemon/planning/make-plan.ts';
import type { StoredPlan } from '../../../../daemon/site/store/plans.ts';
import { makeReport, type Report } from '../../../../daemon/studies/records/make-report.ts';
import { jobRig } from '../../job-rig.ts';

/** A table of a report as it stands in its file: rows by heading. */
export function rowsOf(report: Report, file: string): Record<string, string>[] {
  const content = report.tables.find((table) => table.file === file)?.content;
  if (content === undefined) throw new Error(`no table ${file}`);
  const [heading = [], ...rows] = parsed(content);
  return rows.map((row) =>
    Object.fromEntries(heading.map((name, index) => [name, row[index] ?? ''])),
  );
}

/** A column of a table as numbers; an empty field counts 0. */
export function columnOf(report: Report, file: string, heading: string): number[] {
  const rows = rowsOf(report, file);
  const [first] = rows;
  if (first !== undefined && !(heading in first)) {
    throw new Error(`no column ${heading} in ${file}: ${Object.keys(first).join(' | ')}`);
  }
  return rows.map((row) => Number(row[heading]));
}

/** RFC 4180, written here by hand so that the writer is not its own judge. */
function parsed(text: string): string[][] {
  const rows: string[][] = [];
  for (const line of text.split('\r\n').slice(0, -1)) {
    const fields: string[] = [];
    let field = '';
    let isQuoted = false;
    for (let at = 0; at < line.length; at++) {
      const char = line[at];
      if (isQuoted && char === '"' && line[at + 1] === '"') {
        field += '"';
        at += 1;
      } else if (char === '"') isQuoted = !isQuoted;
      else if (char === ',' && !isQuoted) {
        fields.push(field);
        field = '';
      } else field += char;
    }
    rows.push([...fields, field]);
  }
  return rows;
}

/** The invented site of the jobs' tests, with a report of it. */
export function recordsRig(given: Parameters<typeof jobRig>[0] = {}) {
  const rig = jobRig(given);
  const { parts } = rig;
  return {
    ...rig,
    async plan(): Promise<StoredPlan> {
      return makePlan(
        { ...parts, nowMs: parts.now() },
        { cause: 'person', who: 'A. Keeper (invented)', lift: 'all' },
      );
    },
    reportOf(from: string, to: string = from, language: Language = 'en'): Promise<Report> {
      return makeReport(
        { ...parts, nowMs: parts.now() },
        { from: from as SiteDay, to: to as SiteDay, language },
      );
    },
  };
}
