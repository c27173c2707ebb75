import type { Document, Node, YAMLError } from 'yaml';
import {
  isAlias,
  isCollection,
  isMap,
  isNode,
  isPair,
  LineCounter,
  parseDocument,
  visit,
} from 'yaml';
import type { ConfigProblem, KeyPath, Place } from './problems.ts';

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
  const document = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'error',
  });
  const placeAt = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(line, 1), column: Math.max(col, 1) };
  };
  const found = (path: KeyPath, key: boolean) => placeAt(offsetOf(document, path, key));
  const breaches = document.errors.filter((error) => error.code !== 'DUPLICATE_KEY');
  const brokenLines = breaches.map((error) => placeAt(error.pos[0]).line);
  const problems = [
    ...onePerLine(breaches.map((error) => syntaxProblem(error, text, placeAt))),
    ...document.errors
      .filter((error) => error.code === 'DUPLICATE_KEY')
      .map((error) => syntaxProblem(error, text, placeAt)),
    ...document.warnings.map((error) => syntaxProblem(error, text, placeAt)),
    ...lostAliases(document, placeAt),
  ];
  return {
    brokenFromLine: brokenLines.length > 0 ? Math.min(...brokenLines) : null,
    ...plainValue(document, problems, { file, line: 1, column: 1 }),
    placeOf: (path) => found(path, false),
    placeOfKey: (path) => found(path, true),
  };
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
  const lines = problems.map((problem) => problem.line);
  return problems.filter((problem, index) => lines.indexOf(problem.line) === index);
}

/** Aliases whose anchor does not stand before them. */
function lostAliases(document: Document, placeAt: (offset: number) => Place): ConfigProblem[] {
  const found: ConfigProblem[] = [];
  visit(document, {
    Alias(_key, alias) {
      if (alias.resolve(document) !== undefined) return;
      const message = `is an alias of nothing (got *${alias.source}); set the anchor &${alias.source} before it`;
      found.push({ ...placeAt(startOf(alias) ?? 0), path: '', message });
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
  if (error.code === 'DUPLICATE_KEY') {
    const key = /^["']?([^"':\s]+)/.exec(text.slice(error.pos[0]))?.[1] ?? '';
    return { ...place, path: key, message: 'appears twice in one map; keep one of the two' };
  }
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
