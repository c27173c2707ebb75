import { isDeepStrictEqual } from 'node:util';
import {
  Document,
  isCollection,
  isMap,
  isNode,
  isScalar,
  isSeq,
  type Node,
  parse,
  parseDocument,
  type Scalar,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import type { RawConfig } from './answers.ts';
import { inOldLook } from './line-difference.ts';

const HEAD = ` Written by the set-up of dewbeat. Change it there, or here and then run: dewbeat check
 Values carry their unit; every key that is not here has a default.`;

/** Order of the keys in a new file: the reading order of a person. */
const KEYS = [
  'site',
  'units',
  'data_folder',
  'morning',
  'weather',
  'outputs',
  'supply',
  'rules',
  'sands',
  'beds',
  'stations',
  'page',
];

const WRITTEN = { lineWidth: 0, flowCollectionPadding: true } as const;

/**
 * The config's text with the answered parts in it. Of an old text every comment, the order of its
 * keys and all that was not answered stay; beds and stations that stood in a file of their own now
 * stand here when they were answered.
 */
export function composedText(
  oldText: string | null,
  raw: RawConfig,
  assumed: readonly { path: readonly string[]; why: string }[] = [],
): string {
  if (oldText === null || oldText.trim() === '') return newText(raw, assumed);
  const parsed = () => parseDocument(oldText, { logLevel: 'error' });
  const document = parsed();
  mergeInto(document, {
    ...raw,
    ...(raw.beds === undefined ? {} : { beds_file: null }),
    ...(raw.stations === undefined ? {} : { stations_file: null }),
  });
  if (isDeepStrictEqual(document.toJS(), parsed().toJS())) return oldText;
  const text = document.toString(WRITTEN);
  return inOldLines(text, { oldText, untouched: parsed().toString(WRITTEN) });
}

function newText(
  raw: RawConfig,
  assumed: readonly { path: readonly string[]; why: string }[],
): string {
  const sorted = Object.entries(raw).toSorted(([a], [b]) => placeOf(a) - placeOf(b));
  const document = new Document({});
  document.contents = null as typeof document.contents;
  mergeInto(document, Object.fromEntries(sorted));
  document.commentBefore = HEAD;
  for (const { path, why } of assumed) {
    const node = document.getIn([...path], true);
    if (isScalar(node)) node.comment = ` assumed: ${why}`;
    else if (isCollection(node) && isNode(node)) node.commentBefore = ` assumed: ${why}`;
  }
  return document.toString(WRITTEN);
}

function placeOf(key: string): number {
  const index = KEYS.indexOf(key);
  return index < 0 ? KEYS.length : index;
}

/**
 * Writing a document again lines its comments up anew. Lines that no answer has changed get their old
 * look back; should that ever change what the text says, it stays as it was written.
 */
function inOldLines(text: string, from: { oldText: string; untouched: string }): string {
  const dressed = inOldLook(text, from);
  try {
    return isDeepStrictEqual(parse(dressed), parse(text)) ? dressed : text;
  } catch {
    return text;
  }
}

type PlainMap = Readonly<Record<string, unknown>>;

/** Keys by which entries of a list are known again. */
const NAMING_KEYS = ['id', 'name', 'month', 'day', 'output'] as const;

/** Keys that tell which form a map has: with another one the old map means nothing. */
const FORM_KEYS = ['source', 'output', 'stated', 'nozzle', 'catch_cans', 'lab', 'class'] as const;

/**
 * Puts a value into a document: what stands there and is the same is left alone with its comments and
 * its spelling; null takes a key out.
 */
function mergeInto(document: Document, value: PlainMap): void {
  const top = document.contents;
  if (!isMap(top)) {
    document.contents = document.createNode(withoutNulls(value)) as typeof document.contents;
    spaced(document.contents as YAMLMap);
    return;
  }
  for (const [key, part] of Object.entries(value)) {
    const isNew = !top.has(key);
    mergeKey(document, top, key, part);
    const pair = top.items.find((item) => keyOf(item.key) === key);
    if (isNew && pair !== undefined && top.items.length > 1) {
      const node = document.createNode(key) as Scalar;
      node.spaceBefore = true;
      pair.key = node;
    }
  }
}

/** Short entries of lists on one line each, as people write them. */
function flowEntries(node: unknown): void {
  if (isMap(node)) for (const { value } of node.items) flowEntries(value);
  if (!isSeq(node)) return;
  for (const item of node.items) if (isMap(item)) item.flow = true;
}

function mergeKey(document: Document, map: YAMLMap, key: string, value: unknown): void {
  if (value === undefined) return;
  if (value === null) {
    map.delete(key);
    return;
  }
  const before = map.get(key, true) as Node | undefined;
  const after = merged(document, before, value);
  if (after !== before) map.set(key, after);
}

function merged(document: Document, before: Node | undefined, value: unknown): Node {
  if (before !== undefined && isDeepStrictEqual(before.toJS(document), value)) return before;
  if (isMap(before) && isPlainMap(value) && !otherForm(before, value)) {
    for (const [key, part] of Object.entries(value)) mergeKey(document, before, key, part);
    return before;
  }
  if (isSeq(before) && Array.isArray(value) && value.some(isPlainMap)) {
    return mergedList(document, before, value);
  }
  if (isScalar(before) && (typeof value !== 'object' || value === null)) {
    // The old spelling (quotes, number form) belongs to the old value.
    const fresh = document.createNode(value) as Scalar;
    if (typeof value === typeof before.value && before.type !== undefined) fresh.type = before.type;
    keepComments(before, fresh);
    return fresh;
  }
  const fresh = document.createNode(withoutNulls(value)) as Node;
  if (before === undefined) flowEntries(fresh);
  else {
    if (isMap(fresh) && isMap(before) && before.flow === true) fresh.flow = true;
    else flowEntries(fresh);
    keepComments(before, fresh);
  }
  return fresh;
}

function mergedList(document: Document, before: YAMLSeq, value: readonly unknown[]): Node {
  const left = [...before.items] as Node[];
  before.items = value.map((entry) => {
    const at = left.findIndex((node) => isSameEntry(node, entry));
    const [node] = at < 0 ? [] : left.splice(at, 1);
    const fresh = merged(document, node, entry);
    if (node === undefined && isMap(fresh)) fresh.flow = before.flow !== true;
    return fresh;
  });
  return before;
}

function isSameEntry(node: unknown, entry: unknown): boolean {
  if (!isMap(node) || !isPlainMap(entry)) return false;
  const key = NAMING_KEYS.find((one) => entry[one] !== undefined && node.has(one));
  return key !== undefined && node.get(key) === entry[key];
}

function otherForm(before: YAMLMap, value: PlainMap): boolean {
  const forms = FORM_KEYS.filter((key) => value[key] !== undefined && value[key] !== null);
  const old = FORM_KEYS.filter((key) => before.has(key));
  if (forms.length === 0 || old.length === 0) return false;
  if (!old.some((key) => forms.includes(key))) return true;
  return (['source', 'output'] as const).some(
    (key) => value[key] !== undefined && before.get(key) !== value[key],
  );
}

function keepComments(before: Node, fresh: Node): void {
  if (before.comment != null) fresh.comment = before.comment;
  if (before.commentBefore != null) fresh.commentBefore = before.commentBefore;
  if (before.spaceBefore === true) fresh.spaceBefore = true;
}

function isPlainMap(value: unknown): value is PlainMap {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** In what is new there is nothing to take out. */
function withoutNulls(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withoutNulls);
  if (!isPlainMap(value)) return value;
  return Object.fromEntries(
    Object.entries(value).flatMap(([key, part]) =>
      part === null || part === undefined ? [] : [[key, withoutNulls(part)]],
    ),
  );
}

function keyOf(key: unknown): string {
  return isScalar(key) ? String(key.value) : String(key);
}

function spaced(map: YAMLMap): void {
  for (const [index, pair] of map.items.entries()) {
    flowEntries(pair.value);
    if (index > 0 && isScalar(pair.key)) pair.key.spaceBefore = true;
  }
}
