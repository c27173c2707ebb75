import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { deserialize, serialize } from 'node:v8';
import { describe, expect, it } from 'vitest';
import { loadConfig } from '../../../../daemon/site/config/load.ts';

const FOLDER = fileURLToPath(new URL('../../../../config-examples', import.meta.url));
const examples = readdirSync(FOLDER).filter((name) => name.endsWith('.yaml'));

describe('a config on its way to another process', () => {
  it.each(examples)('loses nothing of %s but its clock', (name) => {
    const read = loadConfig(join(FOLDER, name));
    if (!read.ok) throw new Error(`${name} is not sound`);
    const { clock: _, ...plain } = read.config;
    expect(deserialize(serialize(plain))).toStrictEqual(plain);
  });
});
