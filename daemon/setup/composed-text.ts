import { isDeepStrictEqual } from 'node:util';
import { Document, isCollection, isNode, isScalar, parse, parseDocument } from 'yaml';
import type { RawConfig } from './answers.ts';
import { mergeInto } from './merge-yaml.ts';
import { inOldLook } from './old-look.ts';

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
