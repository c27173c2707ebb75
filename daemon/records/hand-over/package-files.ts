import { existsSync, readFileSync } from 'node:fs';
import { basename, extname, join } from 'node:path';
import { columnMeasures, unitsLine } from '../../../adapters/column-measures.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { LoadedConfig } from '../../config/loaded-config.ts';
import type { PlanningContext } from '../../planning/planning-context.ts';
import { estimateLines } from '../estimate-lines.ts';
import { makeReport } from '../make-report.ts';
import type { SiteRecord } from '../site-record.ts';
import { tableCsv } from '../table-csv.ts';
import { siteTime } from '../tables/table-context.ts';
import { historyFiles } from './history-files.ts';
import { MANIFEST, manifestText, type PackageFile } from './manifest.ts';
import { readMeText } from './read-me-text.ts';
import { configWithoutSecrets } from './without-secrets.ts';

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
