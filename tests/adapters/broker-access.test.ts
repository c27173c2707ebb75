import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readMqttSecrets } from '../../adapters/broker-access.ts';

describe('the secrets of a connection', () => {
  let baseFolder: string;
  beforeEach(async () => {
    baseFolder = await mkdtemp(join(tmpdir(), 'dewbeat-secrets-'));
  });
  afterEach(() => rm(baseFolder, { recursive: true, force: true }));
  const read = (config: object, env: NodeJS.ProcessEnv = {}) =>
    readMqttSecrets({ url: 'mqtts://b', ...config }, { baseFolder, env });

  it('come from variables and from files, less one line end', async () => {
    for (const [name, text] of [
      ['pass', 'p w\r\n'],
      ['ca', 'CA\n\n'],
      ['cert', 'CERT'],
      ['key', 'KEY\n'],
    ] as const) {
      await writeFile(join(baseFolder, name), text);
    }
    const config = {
      username_env: 'DEWBEAT_U',
      password_file: 'pass',
      ca_file: 'ca',
      cert_file: join(baseFolder, 'cert'),
      key_file: 'key',
    };
    expect(await read(config, { DEWBEAT_U: 'name\n' })).toEqual({
      username: 'name\n',
      password: 'p w',
      ca: 'CA\n',
      cert: 'CERT',
      key: 'KEY',
    });
    const other = { username_file: 'key', password_env: 'DEWBEAT_P' };
    expect(await read(other, { DEWBEAT_P: 'p' })).toEqual({ username: 'KEY', password: 'p' });
    expect(await read({})).toEqual({});
  });

  it.each([
    [
      'no variable',
      { password_env: 'DEWBEAT_P' },
      'password_env: the variable is not set (got DEWBEAT_P); give it before the start',
    ],
    [
      'no file',
      { ca_file: 'none' },
      'ca_file: cannot be read (got ENOENT for none); correct the path or its rights',
    ],
    [
      'a folder',
      { key_file: '.' },
      'key_file: cannot be read (got EISDIR for .); correct the path or its rights',
    ],
  ])('are missed where there is %s', async (_, config, words) => {
    await expect(read(config)).rejects.toThrow(words);
  });

  it('are missed where they are empty', async () => {
    await writeFile(join(baseFolder, 'empty'), '\n');
    await expect(read({ username_file: 'empty' })).rejects.toThrow(
      'username_file: the file is empty (got empty); give it before the start',
    );
    await expect(read({ username_env: 'DEWBEAT_U' }, { DEWBEAT_U: '' })).rejects.toThrow(
      'the variable is not set',
    );
  });
});
