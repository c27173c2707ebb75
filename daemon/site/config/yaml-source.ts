import {
  type Document,
  isAlias,
  isCollection,
  isMap,
  isNode,
  isPair,
  isScalar,
  LineCounter,
  type Node,
  parseDocument,
  visit,
  type YAMLError,
} from 'yaml';
import { CONFIG_BOUNDS, tooMuch, yamlTooMuch } from './bounded-input.ts';
import { type ConfigProblem, type KeyPath, type Place, pathOf } from './problems.ts';

/** A YAML text read: its plain value, and where each part of it stands. */
export interface YamlSource {
  /** Plain value; null when the text could not be read at all. */
  raw: unknown;
  problems: ConfigProblem[];
  /** Line of the first breach of YAML's rules: what follows may not be what was meant; null: none. */
  brokenFromLine: number | null;
  /** Place of the value under a path, or of the nearest thing around it that is there. */
  placeOf(path: KeyPath): Place;
  /** Place of the key itself. */
  placeOfKey(path: KeyPath): Place;
}

/** Reads YAML text, keeping line and column; `file` is what error texts call it. */
export function readYaml(text: string, file: string): YamlSource {
  const lines = new LineCounter();
  const top = { file, line: 1, column: 1 };
  const over = yamlTooMuch(text);
  if (over !== null) {
    const before = text.slice(0, over.offset).split('\n');
    const place = { file, line: before.length, column: (before.at(-1)?.length ?? 0) + 1 };
    const problems = [{ ...place, path: '', message: over.message }];
    return { raw: null, problems, brokenFromLine: 1, placeOf: () => top, placeOfKey: () => top };
  }
  // The library compares each key with each other of its map: twins are found below instead.
  const document: Document = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'error',
    uniqueKeys: false,
  });
  const placeAt = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(line, 1), column: Math.max(col, 1) };
  };
  const found = (path: KeyPath, key: boolean) => placeAt(offsetOf(document, path, key));
  const breaches = document.errors;
  const brokenLines = breaches.map((error) => placeAt(error.pos[0]).line);
  const problems = [
    ...onePerLine(breaches.map((error) => syntaxProblem(error, text, placeAt))),
    ...twiceKeys(document, text, placeAt),
    ...document.warnings.map((error) => syntaxProblem(error, text, placeAt)),
    ...lostAliases(document, placeAt),
  ];
  return {
    brokenFromLine: brokenLines.length > 0 ? brokenLines.reduce((a, b) => Math.min(a, b)) : null,
    ...bounded(plainValue(document, problems, top), found),
    placeOf: (path) => found(path, false),
    placeOfKey: (path) => found(path, true),
  };
}

/** A value that is too much is told of by one problem, and not looked at further. */
function bounded(
  plain: ReturnType<typeof plainValue>,
  place: (path: KeyPath, key: boolean) => Place,
): ReturnType<typeof plainValue> {
  const over = tooMuch(plain.raw, CONFIG_BOUNDS);
  if (over === null) return plain;
  const { path, message } = over;
  return { raw: null, problems: [{ ...place(path, false), path: pathOf(path), message }] };
}

function plainValue(document: Document, problems: ConfigProblem[], top: Place) {
  try {
    return { raw: document.toJS({ maxAliasCount: 50 }) as unknown, problems };
  } catch (error) {
    if (problems.length > 0) return { raw: null, problems };
    const message = `cannot be read (got ${(error as Error).message}); correct the aliases`;
    return { raw: null, problems: [{ ...top, path: '', message }] };
  }
}

/** One slip often breaks several rules at once: the first of a line says enough. */
function onePerLine(problems: ConfigProblem[]): ConfigProblem[] {
  const seen = new Set<number | null>();
  return problems.filter(({ line }) => !seen.has(line) && seen.add(line));
}

/** Aliases whose anchor does not stand before them. */
function lostAliases(document: Document, placeAt: (offset: number) => Place): ConfigProblem[] {
  const found: ConfigProblem[] = [];
  const anchors = new Set<string>();
  visit(document, (_key, node) => {
    if (isAlias(node)) {
      if (anchors.has(node.source)) return;
      const message = `is an alias of nothing (got *${node.source}); set the anchor &${node.source} before it`;
      found.push({ ...placeAt(startOf(node) ?? 0), path: '', message });
    } else if (isNode(node) && 'anchor' in node && typeof node.anchor === 'string') {
      anchors.add(node.anchor);
    }
  });
  return found;
}

/** Keys that stand twice in one map. */
function twiceKeys(
  document: Document,
  text: string,
  placeAt: (offset: number) => Place,
): ConfigProblem[] {
  const found: ConfigProblem[] = [];
  visit(document, {
    Map(_key, map) {
      const seen = new Set<unknown>();
      for (const { key } of map.items) {
        if (!isScalar(key)) continue;
        if (seen.has(key.value)) {
          const offset = startOf(key) ?? 0;
          const path = /^["']?([^"':\s]+)/.exec(text.slice(offset, offset + 80))?.[1] ?? '';
          const message = 'appears twice in one map; keep one of the two';
          found.push({ ...placeAt(offset), path, message });
        }
        seen.add(key.value);
      }
    },
  });
  return found;
}

function syntaxProblem(
  error: YAMLError,
  text: string,
  placeAt: (offset: number) => Place,
): ConfigProblem {
  const place = placeAt(error.pos[0]);
  if (error.code === 'MULTIPLE_DOCS') {
    const message = 'begins a second document; keep one, and take out the line ---';
    return { ...place, path: '', message };
  }
  if (error.code === 'TAG_RESOLVE_FAILED') {
    const tag = /^![\w!./-]*/.exec(text.slice(error.pos[0]))?.[0] ?? 'a tag';
    return {
      ...place,
      path: '',
      message: `is a tag that means nothing here (got ${tag}); take it out`,
    };
  }
  // The library's sentence names the syntax rule; its text never quotes values.
  const sentence = error.message.replace(/\s+/g, ' ').replace(/[.;]$/, '');
  return { ...place, path: '', message: `is not valid YAML: ${sentence}; correct the line` };
}

/** Offset of what stands under a path, or of the nearest node around it. */
function offsetOf(document: Document, path: KeyPath, wantKey: boolean): number {
  let node: unknown = document.contents;
  let offset = startOf(node) ?? 0;
  for (const [depth, key] of path.entries()) {
    if (isAlias(node)) node = node.resolve(document);
    if (!isCollection(node)) return offset;
    const last = depth === path.length - 1;
    if (isMap(node)) {
      const pair = node.items.find((item) => isPair(item) && keyText(item.key) === String(key));
      if (!pair) return offset;
      const keyOffset = startOf(pair.key) ?? offset;
      if (last && wantKey) return keyOffset;
      offset = startOf(pair.value) ?? keyOffset;
      node = pair.value;
    } else {
      const item = node.items[Number(key)];
      if (item === undefined) return offset;
      offset = startOf(item) ?? offset;
      node = item;
    }
  }
  return offset;
}

function keyText(key: unknown): string {
  return isNode(key) ? String((key as { value?: unknown }).value ?? '') : String(key);
}

function startOf(node: unknown): number | null {
  return isNode(node) ? ((node as Node).range?.[0] ?? null) : null;
}
