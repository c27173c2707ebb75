import { readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { fileURLToPath } from 'node:url';
import { z } from 'zod';
import { QUANTITY_KINDS, type QuantityKindFacts } from '../../adapters/quantity-units.ts';
import { configSchema } from '../../daemon/site/config/config.ts';
import { dewbeat } from '../daemon/command-line.ts';

const FULL_EXAMPLE = fileURLToPath(new URL('../../config-examples/full.yaml', import.meta.url));

/** Every document with generated parts, each with the parts that it has to hold. */
export const GENERATED: Readonly<Record<string, Readonly<Record<string, () => Promise<string>>>>> =
  {
    'daemon/README.md': { commands, options },
    'config-examples/README.md': { keys: async () => keys(), units: async () => units() },
  };

/**
 * The document with each of its generated parts as the code has it now.
 *
 * @throws Error when the document lacks the marks of a part.
 */
export async function withGeneratedParts(path: string, document: string): Promise<string> {
  let text = document;
  for (const [name, generate] of Object.entries(GENERATED[path] ?? {})) {
    const begin = `<!-- generated: ${name} -->`;
    const end = `<!-- end of ${name} -->`;
    const from = text.indexOf(begin);
    const to = text.indexOf(end);
    if (from === -1 || to < from) {
      throw new Error(`${path}: has no part between ${begin} and ${end}; put both marks in`);
    }
    text = `${text.slice(0, from + begin.length)}\n${await generate()}\n${text.slice(to)}`;
  }
  return text;
}

/** A row of a help text: `--bed <id>  the bed`, with what it goes on with on the next lines. */
interface HelpRow {
  term: string;
  meaning: string;
}

/** The table of commands, in the order of the program's help. */
async function commands(): Promise<string> {
  return table(
    ['command', 'does'],
    (await commandRows()).map(({ term, meaning }) => [`\`${term}\``, meaning]),
  );
}

/** Every option of every command but those that all of them have. */
async function options(): Promise<string> {
  const rows: string[][] = [];
  for (const { term: command } of await commandRows()) {
    for (const { term, meaning } of helpRows(await helpOf([command]), 'Options')) {
      if (/^-[ch],/.test(term)) continue;
      rows.push([`\`${command} ${term}\``, meaning]);
    }
  }
  return table(['option', 'means'], rows);
}

async function commandRows(): Promise<HelpRow[]> {
  return helpRows(await helpOf([]), 'Commands')
    .map(({ term, meaning }) => ({ term: term.replace(' [options]', ''), meaning }))
    .filter(({ term }) => !term.startsWith('help'));
}

async function helpOf(command: readonly string[]): Promise<string> {
  return (await dewbeat([...command, '--help'], { cwd: tmpdir(), nowMs: 0 })).out;
}

/** The rows under a heading of a help text; a line that stands further in goes on with the row before. */
function helpRows(help: string, heading: string): HelpRow[] {
  const after = help.split(`\n${heading}:\n`)[1] ?? '';
  const rows: HelpRow[] = [];
  for (const line of (after.split('\n\n')[0] ?? '').split('\n')) {
    const begins = /^ {2}(\S.*?)(?: {2,}(.*))?$/.exec(line);
    const last = rows.at(-1);
    if (begins) rows.push({ term: begins[1] ?? '', meaning: begins[2] ?? '' });
    else if (last) last.meaning = `${last.meaning} ${line.trim()}`.trim();
  }
  return rows;
}

/** A node of JSON Schema, as far as it is walked here. */
interface Node {
  properties?: Record<string, Node>;
  required?: string[];
  additionalProperties?: Node | boolean;
  items?: Node;
  anyOf?: Node[];
  oneOf?: Node[];
  enum?: unknown[];
  const?: unknown;
  default?: unknown;
  description?: string;
  unit?: string;
  type?: string;
  minimum?: number;
  maximum?: number;
}

/** Every key of the config: a table for each part of the file, for each source and each output. */
function keys(): string {
  const { properties = {}, required } = z.toJSONSchema(configSchema, { io: 'input' }) as Node;
  const parts: string[] = [];
  const plain: string[][] = [];
  for (const [key, node] of Object.entries(properties)) {
    const needed = required?.includes(key) === true;
    const about = [node.description, needed ? 'Needed.' : ''].join(' ').trim();
    if (key === 'weather' || key === 'outputs') {
      parts.push(`### ${key}\n\n${about}`);
      for (const branch of branchesOf(key, node)) parts.push(branchPart(key, branch));
      continue;
    }
    const rows = rowsOf(node, '', noComment);
    if (rows.length === 0) {
      plain.push(rowOf(key, node, needed, noComment));
      continue;
    }
    parts.push(`### ${key}\n\n${about}\n\n${keyTable(rows)}`);
  }
  return [`### Single keys\n\n${keyTable(plain)}`, ...parts].join('\n\n');
}

/** The kinds of a part that is one of several: sources of weather, outputs. */
function branchesOf(key: string, node: Node): Node[] {
  const kinds = key === 'weather' ? node.anyOf?.[0] : node.items;
  const branches = kinds?.oneOf ?? [];
  if (branches.length < 2) throw new Error(`${key}: its kinds are not where they were looked for`);
  return branches;
}

function branchPart(key: string, branch: Node): string {
  const kindKey = key === 'weather' ? 'source' : 'output';
  const kind = String(branch.properties?.[kindKey]?.const);
  const rows = rowsOf(branch, '', commentsOf(key, `${kindKey}: ${kind}`));
  return `#### ${kindKey}: ${kind}\n\n${keyTable(rows)}`;
}

type Commented = (key: string) => string;

const noComment: Commented = () => '';

/**
 * What the full example says behind a key that has no description: in the block of its kind first,
 * then in the nearest before it, since a key that several have is explained once, then in any.
 */
function commentsOf(key: string, kind: string): Commented {
  const lines = readFileSync(FULL_EXAMPLE, 'utf8').split('\n');
  const part = lines.slice(lines.findIndex((line) => line.startsWith(`${key}:`)));
  const at = part.findIndex((line) => line.includes(kind));
  const blocks = part.join('\n').split('\n\n');
  const before = part.slice(0, at).join('\n').split('\n\n').length - 1;
  const nearest = [...blocks.slice(0, before + 1).toReversed(), ...blocks.slice(before + 1)];
  return (name) =>
    nearest.map((block) => saidOf(name, block.split('\n'))).find((said) => said !== '') ?? '';
}

/** The comment behind a key that begins its line, with the lines on which it goes on. */
function saidOf(key: string, lines: readonly string[]): string {
  const begins = new RegExp(`^[\\s#-]*${key}:.*?\\s# (.+)$`);
  const at = lines.findIndex((line) => begins.test(line));
  if (at === -1) return '';
  const said = [begins.exec(lines[at] ?? '')?.[1] ?? ''];
  for (const line of lines.slice(at + 1)) {
    const goesOn = /^#?\s{16,}# (.+)$/.exec(line);
    if (!goesOn) break;
    said.push(goesOn[1] ?? '');
  }
  // The default has a column of its own.
  const text = said.join(' ').replace(/[;,:]? (?:pattern: )?default \S.*$/, '');
  return text === '' ? '' : `${text[0]?.toUpperCase()}${text.slice(1)}.`;
}

/** A row for each key within a node. */
function rowsOf(node: Node, path: string, comment: Commented): string[][] {
  const own = Object.entries(node.properties ?? {}).flatMap(([key, child]) => {
    const at = path === '' ? key : `${path}.${key}`;
    const needed = node.required?.includes(key) === true;
    // The kind of a source or of an output stands in the heading.
    if (child.const !== undefined) return [];
    const below = isPlace(child) || formsOf(child).length > 0 ? [] : rowsOf(child, at, comment);
    return [rowOf(at, child, needed, comment), ...below];
  });
  const { additionalProperties, items } = node;
  return [
    ...own,
    ...(typeof additionalProperties === 'object'
      ? rowsOf(additionalProperties, path === '' ? '*' : `${path}.*`, comment)
      : []),
    ...(items ? rowsOf(items, path === '' ? '[]' : `${path}[]`, comment) : []),
    ...[...(node.anyOf ?? []), ...(node.oneOf ?? [])].flatMap((branch) =>
      rowsOf(branch, path, comment),
    ),
  ];
}

/** The forms in which a time may be given. */
function formsOf({ oneOf = [] }: Node): string[] {
  return oneOf.map(formOf);
}

/** `{ form: pattern, column, pattern }`; what may be left out has a question mark. */
function formOf({ properties = {}, required = [] }: Node): string {
  const keys = Object.entries(properties).map(([key, { const: form }]) =>
    form === undefined ? `${key}${required.includes(key) ? '' : '?'}` : `${key}: ${form}`,
  );
  return `\`{ ${keys.join(', ')} }\``;
}

/** True for what says where a figure stands: its column or pointer, and its unit or pattern. */
function isPlace({ properties = {} }: Node): boolean {
  return Object.keys(properties).length === 2 && ('column' in properties || 'at' in properties);
}

function rowOf(path: string, node: Node, needed: boolean, comment: Commented): string[] {
  const key = path.split('.').at(-1)?.replace('[]', '') ?? path;
  const meaning = node.description ?? comment(key);
  // A figure of the weather is told by its name and unit; what stands in a list, by its list.
  const isPlain = isPlace(node) || /(?:usual|days)\[\]\./.test(path);
  if (meaning === '' && !isPlain) {
    throw new Error(`${path}: has no meaning; give it a description or a comment in full.yaml`);
  }
  return [
    `\`${path}\``,
    meaning,
    kindOf(node),
    node.default !== undefined ? defaultOf(node.default) : needed ? 'needed' : '',
  ];
}

function kindOf(node: Node): string {
  if (node.unit !== undefined) return node.unit === 'fraction' ? '%' : node.unit;
  if (node.enum) return node.enum.map((value) => `\`${value}\``).join(', ');
  if (formsOf(node).length > 0) return formsOf(node).join(', ');
  if (isPlace(node)) return formOf(node);
  if (node.type === 'boolean') return '`true`, `false`';
  if (node.type === 'integer' || node.type === 'number') return boundsOf(node);
  if (node.type === 'array' || node.items) return 'list';
  if (node.type === 'object' || node.properties) return 'map';
  return node.anyOf ? 'text or list' : 'text';
}

function boundsOf({ minimum, maximum }: Node): string {
  return minimum === undefined || maximum === undefined ? 'number' : `${minimum} to ${maximum}`;
}

function defaultOf(value: unknown): string {
  if (Array.isArray(value)) {
    return value.length === 0 ? 'none' : value.map((item) => `\`${item}\``).join(', ');
  }
  return typeof value === 'object' ? '' : `\`${value}\``;
}

/** The units in which each kind of quantity may be written. */
function units(): string {
  const kinds: QuantityKindFacts[] = Object.values(QUANTITY_KINDS);
  const rows = kinds.map(({ name, units: spellings }) => [
    name,
    spellings.map(({ shown }) => shown).join(', '),
  ]);
  // A duration is kept in seconds or in minutes, and written alike.
  const names = rows.map(([name]) => name);
  return table(
    ['quantity', 'may be written in'],
    rows.filter(([name], index) => names.indexOf(name) === index),
  );
}

function keyTable(rows: string[][]): string {
  return table(['key', 'meaning', 'unit, or what it takes', 'default'], rows);
}

function table(heads: readonly string[], rows: readonly (readonly string[])[]): string {
  // A bar would end the cell.
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`.replaceAll('|  |', '| |');
  return [line(heads), `|${'---|'.repeat(heads.length)}`, ...rows.map(line)].join('\n');
}
