import type { z } from 'zod';
import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import { sandChart, sandPicture } from '../../actions/setup/sand-picture.ts';
import {
  bedEntries,
  stationEntries,
  type TableEntries,
} from '../../actions/setup/table-entries.ts';
import { bedSchema, type SandConfig, sandSchema } from '../../site/config/bed-schema.ts';
import { isMap } from '../../site/config/bounded-input.ts';
import { readEntry } from '../../site/config/entry.ts';
import { check } from '../../site/config/issue-problems.ts';
import { rateDoubts } from '../../site/config/plausibility.ts';
import { stationSchema } from '../../site/config/station-schema.ts';
import { sayInInterview as say } from '../../words/interview.ts';
import { sayIn } from '../../words/language.ts';
import { askQuantity, askYesNo, type Talk } from './talk.ts';

type Entry = Record<string, unknown>;

/** Beds, stations and sands as answered. */
export interface GroundAnswer {
  beds?: Entry[];
  stations?: Entry[];
  sands?: Record<string, Entry>;
}

/** Asks for beds and stations as tables, and for the sand. */
export async function askGround(
  talk: Talk,
  given: { old: Readonly<Record<string, unknown>>; units: 'us' | 'metric' },
): Promise<GroundAnswer> {
  const { old, units } = given;
  const { beds: oldBeds, stations: oldStations, beds_file, stations_file } = old;
  const keepBeds = oldBeds !== undefined || beds_file !== undefined;
  const keepStations = oldStations !== undefined || stations_file !== undefined;
  const beds = await askTable(talk, {
    what: 'beds',
    keep: keepBeds,
    read: (text) => checkedTable(bedEntries(text, units), bedSchema),
  });
  const named = (beds ?? (Array.isArray(oldBeds) ? oldBeds : [])).filter(isMap);
  const known = named.map(({ id, name }) => ({
    id: String(id),
    name: typeof name === 'string' ? name : undefined,
  }));
  const stations = await askTable(talk, {
    what: 'stations',
    keep: keepStations,
    read: (text) => {
      const table = stationEntries(text, { units, beds: known });
      return withStrangers(
        withDoubts(checkedTable(table, stationSchema), named),
        known.map(({ id }) => id),
      );
    },
  });
  const needsSand = named.some(({ sand }) => sand == null);
  const sand = beds === null || needsSand ? await askSand(talk, { units, keep: keepBeds }) : null;
  const answered = beds ?? (sand === null ? null : named);
  return {
    ...(answered === null
      ? {}
      : {
          beds: answered.map((bed) =>
            sand === null || (beds !== null && bed['sand'] != null)
              ? bed
              : { ...bed, sand: sand.name },
          ),
        }),
    ...(stations === null ? {} : { stations }),
    ...(sand?.entry === undefined ? {} : { sands: { [sand.name]: sand.entry } }),
  };
}

/** Null: the same as now. */
async function askTable(
  talk: Talk,
  given: { what: 'beds' | 'stations'; keep: boolean; read(text: string): TableEntries },
): Promise<Entry[] | null> {
  const { what, keep, read } = given;
  if (keep && (await askYesNo(talk, say('table.keep', { what }), 'yes'))) return null;
  talk.tell(`  ${say(`table.${what}`)}`);
  const text = await talk.ask({
    kind: 'table',
    ask: say('table.paste', { what }),
    wrong: (typed) => {
      const { problems } = read(typed);
      return problems.length === 0 ? null : problems.slice(0, 12).join('\n  ');
    },
  });
  const { entries, told } = read(text);
  for (const line of told) talk.tell(`  ${line}`);
  talk.tell(`  ${say('table.read', { rows: entries.length, what })}`);
  return entries;
}

/** Each row checked as the config checks it. */
function checkedTable(
  table: TableEntries,
  schema: typeof bedSchema | typeof stationSchema,
): TableEntries {
  const found = table.entries.flatMap((entry, index) => {
    const checked = check<unknown>(schema, withoutGaps(entry));
    if (checked.ok) return [];
    return checked.findings.map(({ path, message }) =>
      say('table.row', { row: index + 1, field: path.join('.'), why: message }),
    );
  });
  return { ...table, problems: [...table.problems, ...found] };
}

/** Rates that cannot be meant are told of while the table is still at hand. */
function withDoubts(table: TableEntries, beds: readonly unknown[]): TableEntries {
  const place = { file: '', line: 1, column: 1 };
  const entriesOf = <T>(schema: z.ZodType<T>, list: string, rows: readonly unknown[]) =>
    rows.map((raw, index) =>
      readEntry(schema, raw, { list, index, placeOf: () => place, placeOfKey: () => place }),
    );
  const doubts = rateDoubts({
    beds: entriesOf(bedSchema, 'beds', beds.map(withoutGaps)),
    stations: entriesOf(stationSchema, 'stations', table.entries.map(withoutGaps)),
  });
  const refused = doubts.filter(({ isRefused }) => isRefused);
  const found = refused.map(({ problem }) => `${problem.path}: ${problem.message}`);
  return { ...table, problems: [...table.problems, ...found] };
}

/** A row without its empty cells. */
function withoutGaps(row: unknown): Entry {
  return Object.fromEntries(Object.entries(row ?? {}).filter(([, value]) => value !== null));
}

function withStrangers(table: TableEntries, bedIds: readonly string[]): TableEntries {
  if (bedIds.length === 0) return table;
  const strangers = table.entries.flatMap(({ bed }, index) =>
    bed === undefined || bedIds.includes(String(bed))
      ? []
      : [say('table.no_bed', { row: index + 1, got: String(bed), beds: bedIds.join(', ') })],
  );
  const dry = bedIds.filter((id) => !table.entries.some(({ bed }) => bed === id));
  const without = strangers.length > 0 ? [] : dry.map((bed) => say('table.no_station', { bed }));
  return { ...table, problems: [...table.problems, ...strangers, ...without] };
}

async function askSand(
  talk: Talk,
  { units, keep }: { units: 'us' | 'metric'; keep: boolean },
): Promise<{ name: string; entry?: Entry } | null> {
  for (;;) {
    const way = await talk.ask({
      kind: 'choice',
      ask: say('sand.ask'),
      choices: [
        ...(keep ? [{ value: 'keep', words: say('answer.keep') }] : []),
        { value: 'report', words: say('sand.report') },
        ...sandClasses.map(({ key }) => ({ value: key, words: sayIn('en')(`sand.${key}`) })),
      ],
      preset: keep ? 'keep' : 'medium_over_gravel',
    });
    if (way === 'keep') return null;
    const entry = way === 'report' ? await askReport(talk) : undefined;
    const sand = entry === undefined ? way : (entry.config ?? way);
    const picture = await talk.once(() => sandPicture(sand, units));
    for (const line of [...picture.lines, ...sandChart(picture)]) talk.tell(`  ${line}`);
    if (!(await askYesNo(talk, say('sand.is_right'), 'yes'))) continue;
    return entry === undefined ? { name: way } : { name: 'own-sand', entry: entry.raw };
  }
}

async function askReport(talk: Talk): Promise<{ raw: Entry; config: SandConfig | null }> {
  for (;;) {
    const lab = labShape();
    const raw = {
      lab: {
        total_porosity: await askQuantity(talk, {
          ask: say('report.total_porosity'),
          schema: lab.total_porosity,
        }),
        capillary_porosity: await askQuantity(talk, {
          ask: say('report.capillary_porosity'),
          schema: lab.capillary_porosity,
        }),
        saturated_conductivity: await askQuantity(talk, {
          ask: say('report.saturated_conductivity'),
          schema: lab.saturated_conductivity,
        }),
        depth: await askQuantity(talk, {
          ask: say('report.depth'),
          preset: '300 mm',
          schema: lab.depth,
        }),
        under: await talk.ask({
          kind: 'choice',
          ask: say('report.under'),
          choices: [
            { value: 'gravel', words: say('report.gravel') },
            { value: 'open', words: say('report.open') },
          ],
          preset: 'gravel',
        }),
      },
    };
    const checked = check(sandSchema, raw);
    if (checked.ok) return { raw, config: checked.value };
    for (const { path, message } of checked.findings) talk.tell(`  ${path.join('.')}: ${message}`);
  }
}

function labShape() {
  return sandSchema.shape.lab.unwrap().shape;
}
