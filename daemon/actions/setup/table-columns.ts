import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { QuantityKind } from '../../../adapters/quantity-units.ts';

/** A column that a pasted table may have. */
export interface TableColumn {
  key: string;
  /** Words of the trade that head it, lower case without punctuation; the first is shown. */
  headings: readonly string[];
  /** Left out: text. */
  kind?: QuantityKind;
  /** What a bare number is taken to be, where neither cell nor heading tells. */
  unit?: Readonly<Record<DisplayUnits, string>>;
  /** Its cells are calendar days. */
  isDay?: true;
}

const same = (unit: string) => ({ us: unit, metric: unit });

export const BED_TABLE: readonly TableColumn[] = [
  { key: 'id', headings: ['id', 'bed id', 'green id'] },
  { key: 'name', headings: ['name', 'bed', 'green', 'bed name', 'green name', 'tee', 'area name'] },
  {
    key: 'area',
    headings: ['area', 'size', 'surface', 'seeded area', 'green area', 'bed area'],
    kind: 'area',
    unit: { us: 'ft²', metric: 'm²' },
  },
  {
    key: 'seeded',
    headings: ['seeded', 'seeding date', 'seed date', 'date seeded', 'sown', 'day of seeding'],
    isDay: true,
  },
  { key: 'sand', headings: ['sand', 'sand class', 'rootzone', 'root zone', 'mix', 'sand name'] },
  { key: 'stage', headings: ['stage', 'growth stage'] },
  { key: 'slope', headings: ['slope', 'fall'], kind: 'fraction', unit: same('%') },
  { key: 'exposure', headings: ['exposure', 'shade factor'], kind: 'fraction', unit: same('%') },
  { key: 'trim', headings: ['trim'], kind: 'fraction', unit: same('%') },
  {
    key: 'embedding',
    headings: ['embedding', 'dimples', 'dimple depth'],
    kind: 'depth',
    unit: { us: 'in', metric: 'mm' },
  },
];

export const STATION_TABLE: readonly TableColumn[] = [
  {
    key: 'id',
    headings: [
      'station',
      'valve',
      'id',
      'station id',
      'valve id',
      'station number',
      'valve number',
      'zone',
      'station no',
      'valve no',
    ],
  },
  {
    key: 'bed',
    headings: ['bed', 'green', 'area', 'bed id', 'green id', 'bed name', 'green name', 'tee'],
  },
  { key: 'main', headings: ['main', 'mainline', 'main line', 'main pipe', 'loop'] },
  { key: 'lateral', headings: ['lateral', 'branch'] },
  {
    key: 'flow',
    headings: ['flow', 'station flow', 'valve flow', 'total flow', 'flow rate'],
    kind: 'flow',
    unit: { us: 'gpm', metric: 'L/min' },
  },
  {
    key: 'heads',
    headings: ['heads', 'number of heads', 'sprinklers', 'head count', 'no of heads', 'no heads'],
  },
  {
    key: 'rate',
    headings: [
      'rate',
      'precipitation rate',
      'application rate',
      'precip rate',
      'precipitation',
      'pr',
    ],
    kind: 'rate',
    unit: { us: 'in/h', metric: 'mm/h' },
  },
  {
    key: 'nozzle_flow',
    headings: [
      'nozzle flow',
      'nozzle',
      'head flow',
      'flow per head',
      'sprinkler flow',
      'flow per nozzle',
    ],
    kind: 'flow',
    unit: { us: 'gpm', metric: 'L/min' },
  },
  {
    key: 'head_spacing',
    headings: ['spacing', 'head spacing', 'sprinkler spacing', 'heads apart'],
    kind: 'length',
    unit: { us: 'ft', metric: 'm' },
  },
  {
    key: 'row_spacing',
    headings: ['row spacing', 'rows apart', 'distance of rows'],
    kind: 'length',
    unit: { us: 'ft', metric: 'm' },
  },
  { key: 'triangular', headings: ['triangular', 'triangle', 'triangular spacing'] },
  { key: 'arc', headings: ['arc', 'arc angle', 'sector'], kind: 'angle', unit: same('°') },
  {
    key: 'rotation',
    headings: ['rotation', 'rotation time', 'arc time', 'time of rotation', 'seconds per rotation'],
    kind: 'duration_s',
    unit: same('s'),
  },
  { key: 'measured', headings: ['measured', 'audited'] },
];

/** What the cells of a table without a heading row are, in their order. */
export const BED_ORDER = ['name', 'area', 'seeded', 'sand'] as const;
export const STATION_ORDER = ['id', 'bed', 'flow', 'rate', 'rotation', 'main'] as const;

/** What a heading says: its column, and the unit in it. */
export interface Heading {
  text: string;
  /** Null: no known column. */
  column: TableColumn | null;
  /** Null: the heading names none. */
  unit: string | null;
}

/** The headings of a table's first row, or null when that row is no heading. */
export function headingsOf(
  row: readonly string[],
  columns: readonly TableColumn[],
): Heading[] | null {
  const headings = row.map((cell) => headingOf(cell, columns));
  const filled = headings.filter(({ text }) => text !== '');
  if (filled.some(({ text }) => /^[+-]?[\d.,]/.test(text))) return null;
  const known = filled.filter(({ column }) => column !== null);
  return known.length > 0 && known.length * 2 >= filled.length ? headings : null;
}

function headingOf(cell: string, columns: readonly TableColumn[]): Heading {
  const inBrackets = /[([]\s*([^)\]]+?)\s*[)\]]/.exec(cell)?.[1] ?? null;
  const words = plainWords(inBrackets === null ? cell : cell.replace(/[([][^)\]]*[)\]]/, ' '));
  const whole = columnFor(words, columns);
  if (whole !== null) return { text: cell, column: whole, unit: inBrackets };
  // "Flow gpm", "Spacing, ft": the last word may be the unit.
  const [last] = /\S+$/.exec(cell.replace(/[,;:]\s*/g, ' ').trim()) ?? [];
  const fewer = words
    .split(' ')
    .slice(0, -plainWords(last ?? '').split(' ').length)
    .join(' ');
  const column = inBrackets === null && last !== undefined ? columnFor(fewer, columns) : null;
  if (column?.kind !== undefined && last !== undefined) return { text: cell, column, unit: last };
  return { text: cell, column: null, unit: null };
}

function columnFor(words: string, columns: readonly TableColumn[]): TableColumn | null {
  return (
    columns.find(({ key, headings }) => words === plainWords(key) || headings.includes(words)) ??
    null
  );
}

function plainWords(text: string): string {
  return text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim();
}
