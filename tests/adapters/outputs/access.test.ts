import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { fileOutputSchema } from '../../../adapters/outputs/file.ts';
import { outputConfigSchema, placeOfOutput } from '../../../adapters/outputs/list.ts';
import { isTopicLevel, mqttOutputSchema } from '../../../adapters/outputs/mqtt-config.ts';

const mqtt = { output: 'mqtt', url: 'mqtt://broker.invalid' };
const secure = { ...mqtt, url: 'mqtts://broker.invalid' };
const problems = (config: object) =>
  outputConfigSchema
    .safeParse(config)
    .error?.issues.map(({ path, message }) => `${path.join('.')}: ${message}`) ?? [];

describe('the address of a broker', () => {
  it.each([
    'mqtt://host',
    'mqtt://host:1883',
    'mqtt://host/',
    'mqtts://192.0.2.7:8883',
    'mqtt://[2001:db8::1]:1883',
  ])('may be %s', (url) => {
    expect(problems({ ...mqtt, url })).toEqual([]);
  });

  it.each([
    'host',
    'mqtt:',
    'mqtt://',
    'mqtt:///path',
    'ws://host',
    'mqtt://host/path',
    'mqtt://host?x=1',
    'mqtt://host#x',
    'mqtt://name@host',
    'mqtt://:word@host',
  ])('may not be %s', (url) => {
    expect(problems({ ...mqtt, url })).toEqual([
      'url: is no broker address (got (hidden)); write mqtt://host:port or mqtts://host:port, with user and password in username_env and password_env or in files',
    ]);
  });
});

describe('who asks the broker', () => {
  const oneOf = (kind: string) => `${kind}_file: stands beside ${kind}_env (got both); keep one`;
  const cert = 'cert_file: needs key_file and the other way round (got one); name both or none';
  const plain = 'url: is not encrypted (got mqtt: beside ca_file or cert_file); write mqtts:';
  const alone =
    'username_env: is missing (got a password alone); name username_env or username_file';

  it.each<[object, string[]]>([
    [{ username_env: 'DEWBEAT_U' }, []],
    [{ username_file: 'u', password_env: 'DEWBEAT_P' }, []],
    [{ username_env: 'DEWBEAT_U', password_file: 'p' }, []],
    [{ username_env: 'DEWBEAT_U', username_file: 'u' }, [oneOf('username')]],
    [
      { username_env: 'DEWBEAT_U', password_env: 'DEWBEAT_P', password_file: 'p' },
      [oneOf('password')],
    ],
    [{ password_env: 'DEWBEAT_P' }, [alone]],
    [{ password_file: 'p' }, [alone]],
    [{ cert_file: 'c' }, [cert]],
    [{ key_file: 'k' }, [cert]],
    [{ cert_file: 'c', key_file: 'k', ca_file: 'a' }, []],
  ])('with %j', (change, found) => {
    expect(problems({ ...secure, ...change })).toEqual(found);
  });

  it.each<[object, string[]]>([
    [{ ca_file: 'a' }, [plain]],
    [{ cert_file: 'c', key_file: 'k' }, [plain]],
    [{ key_file: 'k', cert_file: 'c', ca_file: 'a' }, [plain]],
    [{ ca_file: '' }, ['ca_file: Too small: expected string to have >=1 characters', plain]],
  ])('with %j on a line that is not encrypted', (change, found) => {
    expect(problems({ ...mqtt, ...change })).toEqual(found);
  });

  it.each(['DEWBEAT_U', `DEWBEAT_${'x'.repeat(100)}`, 'DEWBEAT_a_9'])('by %s', (name) => {
    expect(problems({ ...mqtt, username_env: name })).toEqual([]);
  });

  it.each(['HOME', 'DEWBEAT_', 'XDEWBEAT_U', 'DEWBEAT_U-1', `DEWBEAT_${'x'.repeat(101)}`])(
    'and not by %s',
    (name) => {
      expect(problems({ ...mqtt, username_env: name })).toEqual([
        `username_env: is no variable for secrets of dewbeat (got ${name}); give it in one whose name begins with DEWBEAT_`,
      ]);
    },
  );
});

describe('a topic', () => {
  it.each(['a', 'north-9', '\u00fc', 'x'.repeat(80)])('may have the level %s', (text) => {
    expect(isTopicLevel(text)).toBe(true);
  });

  it.each(['', 'a+', '#', 'a/b', 'a b', 'a\n', 'a\u0000', 'x'.repeat(81)])(
    'may not have the level %j',
    (text) => {
      expect(isTopicLevel(text)).toBe(false);
    },
  );

  it.each([
    ['prefix', 'club/water', []],
    ['prefix', 'a$', []],
    ['site', 'north', []],
    [
      'prefix',
      '$SYS/a',
      ['prefix: does not fit into a topic (got $SYS/a); leave out spaces, +, # and /'],
    ],
    [
      'prefix',
      'a//b',
      ['prefix: does not fit into a topic (got a//b); leave out spaces, +, # and /'],
    ],
    [
      'prefix',
      'a/b c',
      ['prefix: does not fit into a topic (got a/b c); leave out spaces, +, # and /'],
    ],
    ['site', 'a/b', ['site: does not fit into a topic (got a/b); leave out spaces, +, # and /']],
  ])('may be under %s %s: %j', (key, text, found) => {
    expect(problems({ ...mqtt, [key]: text })).toEqual(found);
  });
});

describe('the figures of an output', () => {
  it.each<[object, number]>([
    [{ mode: 'runs', most_at_once: 1 }, 0],
    [{ mode: 'runs', most_at_once: 1000 }, 0],
    [{ mode: 'runs', most_at_once: 0 }, 1],
    [{ mode: 'runs', most_at_once: 1001 }, 1],
    [{ mode: 'runs', most_at_once: 1.5 }, 1],
    [{ most_at_once: 3 }, 1],
    [{ late_tolerance: '1 s' }, 0],
    [{ late_tolerance: '300 s' }, 0],
    [{ late_tolerance: '0.9 s' }, 1],
    [{ late_tolerance: '301 s' }, 1],
    [{ timeout: '0.1 s' }, 0],
    [{ timeout: '120 s' }, 0],
    [{ timeout: '0.05 s' }, 1],
    [{ timeout: '121 s' }, 1],
    [{ retry: '0.1 s' }, 0],
    [{ retry: '600 s' }, 0],
    [{ retry: '0.05 s' }, 1],
    [{ retry: '601 s' }, 1],
    [{ client_id: '' }, 1],
    [{ client_id: 'c'.repeat(120) }, 0],
    [{ client_id: 'c'.repeat(121) }, 1],
    [{ protocol: '3.1.1' }, 0],
    [{ mode: 'valves' }, 1],
    [{ more: 1 }, 1],
  ])('%j has %i problems', (change, count) => {
    expect(problems({ ...mqtt, ...change })).toHaveLength(count);
  });

  it('say what has no meaning beside the mode', () => {
    expect(problems({ ...mqtt, most_at_once: 3 })).toEqual([
      'most_at_once: has no meaning in mode plan; leave it out or set mode: runs',
    ]);
  });

  it.each<[object, number]>([
    [{}, 0],
    [{ readable_by: 'group', ran: 'ran.csv', name: 'box' }, 0],
    [{ readable_by: 'nobody' }, 1],
    [{ language: 'es' }, 0],
    [{ language: 'xx' }, 1],
    [{ ran: '' }, 1],
    [{ folder: '' }, 1],
    [{ more: 1 }, 1],
  ])('of a folder: %j has %i problems', (change, count) => {
    const file = { output: 'file', folder: 'out', ...change };
    expect(problems(file)).toHaveLength(count);
  });

  it('of a folder are filled in', () => {
    expect(fileOutputSchema.parse({ output: 'file', folder: 'out' })).toEqual({
      output: 'file',
      name: 'file',
      takes_changes: true,
      folder: 'out',
      readable_by: 'owner',
      language: 'en',
    });
  });
});

describe('what is said of the keys', () => {
  const described = (schema: z.ZodType) => {
    const { description, properties = {} } = z.toJSONSchema(schema, { io: 'input' });
    const keys = Object.entries(properties).flatMap(([key, value]) =>
      typeof value === 'object' && (value.description ?? '') !== '' ? [key] : [],
    );
    return [description, ...keys];
  };

  it('stands where a person has to be told', () => {
    expect(described(fileOutputSchema)).toEqual([
      'The plan as three files in a folder.',
      'name',
      'takes_changes',
      'folder',
      'readable_by',
      'language',
      'ran',
    ]);
    expect(described(mqttOutputSchema)).toEqual([
      'The plan as messages to an MQTT broker.',
      'name',
      'takes_changes',
      'url',
      'protocol',
      'mode',
      'late_tolerance',
      'most_at_once',
      'prefix',
      'site',
      'ca_file',
      'cert_file',
      'key_file',
      'timeout',
      'retry',
    ]);
    expect(described(outputConfigSchema)).toEqual(['One way out for confirmed plans.']);
  });
});

describe('the place of an output', () => {
  it.each([
    [{}, 'mqtt mqtt://broker.invalid dewbeat/s plan'],
    [{ site: 'north', prefix: 'a/b', mode: 'runs' }, 'mqtt mqtt://broker.invalid a/b/north runs'],
  ])('with %j', (change, place) => {
    const config = outputConfigSchema.parse({ ...mqtt, ...change });
    expect(placeOfOutput(config, { siteId: 's', baseFolder: '/srv' })).toBe(place);
  });
});
