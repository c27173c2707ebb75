import { REPORT_CAUTIONS } from '../paper/report-cautions.ts';
import { MANIFEST, type PackageFile } from './manifest.ts';

/** The package's README.txt: what it is, what each file is, what in it is no measurement. */
export function readMeText(given: {
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
