import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { configSchema } from '../../daemon/site/config/config.ts';
import { STATION_COLUMNS } from '../../daemon/site/config/tables.ts';

const FOLDER = new URL('../../config-examples/', import.meta.url);
const TEXT = readFileSync(fileURLToPath(new URL('full.yaml', FOLDER)), 'utf8');

/** A node of JSON Schema, as far as it is walked here. */
interface Node {
  properties?: Record<string, Node>;
  additionalProperties?: Node | boolean;
  items?: Node;
  anyOf?: Node[];
  oneOf?: Node[];
  default?: unknown;
  description?: string;
}

interface Key {
  /** `stations[].rate.stated` */
  path: string;
  key: string;
  node: Node;
}

/** Every key that the schema knows. */
function keysOf(node: Node, path = ''): Key[] {
  const inner = Object.entries(node.properties ?? {}).flatMap(([key, child]) => {
    const own = path === '' ? key : `${path}.${key}`;
    return [{ path: own, key, node: child }, ...keysOf(child, own)];
  });
  const { additionalProperties, items } = node;
  return [
    ...inner,
    ...(typeof additionalProperties === 'object' ? keysOf(additionalProperties, `${path}.*`) : []),
    ...(items ? keysOf(items, `${path}[]`) : []),
    ...[...(node.anyOf ?? []), ...(node.oneOf ?? [])].flatMap((branch) => keysOf(branch, path)),
  ];
}

/** Every key path that a value has, in the same writing. */
function pathsOf(value: unknown, path = ''): string[] {
  if (Array.isArray(value)) return value.flatMap((item) => pathsOf(item, `${path}[]`));
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, child]) => {
    const own = path === 'sands' ? 'sands.*' : path === '' ? key : `${path}.${key}`;
    return [own, ...pathsOf(child, own)];
  });
}

const KEYS = keysOf(z.toJSONSchema(configSchema, { io: 'input' }) as Node);
const USED = new Set(pathsOf(parse(TEXT)));
const COMMENTS = TEXT.split('\n')
  .map((line) => /(?:^|\s)#(.*)$/.exec(line)?.[1] ?? '')
  .join('\n');

/** Keys that may stand in a comment only: they go in place of others, or need another machine. */
const IN_PLACE_OF_OTHERS =
  /^(weather(\[\])?|outputs\[\])\.|^(beds|stations)_file$|^news(\.|$)|^stations\[\]\.rate\.catch_cans\.depths$/;

describe('full.yaml', () => {
  it('is held against a schema that has its keys', () => {
    expect(KEYS.length).toBeGreaterThan(150);
    expect(KEYS.map(({ path }) => path)).toContain('stations[].rate.nozzle.arc');
  });

  it('uses every key, or shows it in a comment where it goes in place of another', () => {
    const missing = KEYS.filter(({ path, key }) => {
      if (USED.has(path)) return false;
      const shown = new RegExp(`(^|[\\s{,])${key}:`, 'm').test(COMMENTS);
      return !(IN_PLACE_OF_OTHERS.test(path) && shown);
    });
    expect(missing.map(({ path }) => path)).toEqual([]);
  });

  it('gives the default of every key that has one', () => {
    const plain = KEYS.filter(
      ({ node }) => node.default !== undefined && typeof node.default !== 'object',
    );
    expect(plain.length).toBeGreaterThan(25);
    const lines = TEXT.split('\n');
    const wrong = plain.filter(({ key, node }) => {
      const told = `default ${String(node.default)}`;
      return !lines.some((line) => {
        const at = line.indexOf(told);
        // What follows must not go on: "default 1" is no "default 10 s".
        return (
          at >= 0 && line.includes(`${key}:`) && !/^[\w.]\S*/.test(line.slice(at + told.length))
        );
      });
    });
    expect(wrong.map(({ path, node }) => `${path}: default ${String(node.default)}`)).toEqual([]);
  });

  it('has a description for every key of the config proper', () => {
    const bare = KEYS.filter(
      ({ path, node }) =>
        !/^(weather(\[\])?|outputs\[\])\./.test(path) && node.description === undefined,
    );
    expect(bare.map(({ path }) => path)).toEqual([]);
  });
});

describe('the schema of stations', () => {
  it('has a column for every key but those of catch cans', () => {
    const columns = Object.values(STATION_COLUMNS).map((path) => `stations[].${path.join('.')}`);
    const leaves = KEYS.filter(
      ({ path, node }) =>
        path.startsWith('stations[].') && !path.includes('catch_cans') && !node.properties,
    ).map(({ path }) => path);
    expect([...columns].sort()).toEqual([...leaves].sort());
  });
});
