import { mkdirSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { fileOutputSchema } from '../../../../adapters/outputs/file.ts';
import { OUTPUT_FILES } from '../../../../daemon/site/config/connections.ts';
import { loadConfigText } from '../../../../daemon/site/config/load.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { configText, problemsOf } from './sound-config.ts';

const WEATHER_LINE = 2;
const BROKER = 'mqtt://broker.example';

const told = (outputs: readonly string[], weather?: string) =>
  problemsOf(
    configText(weather === undefined ? {} : { [WEATHER_LINE]: weather }, [
      ...(outputs.length > 0 ? ['outputs:'] : []),
      ...outputs.map((one) => `  - { ${one} }`),
    ]),
  );

const mast = (more: string) =>
  `{ source: mqtt, url: "${BROKER}", wind_height: 2 m, readings: [{ topic: mast/air, fields: { air_temp: { unit: °C } } }]${more} }`;

describe('two outputs in one place', () => {
  it.each([
    ['out', 'out'],
    ['out', './out/'],
    ['out', 'deep/../out'],
    ['out', '/srv/fen-edge/out'],
  ])('are refused: folders %s and %s', (one, two) => {
    expect(
      told([`output: file, folder: ${one}`, `output: file, name: second, folder: ${two}`]),
    ).toEqual([
      'site.yaml:12:43 outputs[#2].folder: is where the output file writes as well (got folder /srv/fen-edge/out); give each a folder of its own',
    ]);
  });

  it('are found behind a link', () => {
    const folder = scratchFolder();
    mkdirSync(join(folder, 'out'));
    symlinkSync('out', join(folder, 'current'));
    const lines = [
      'outputs:',
      '  - { output: file, folder: out/new }',
      '  - { output: file, name: second, folder: current/new }',
    ];
    const text = configText({}, lines);
    const result = loadConfigText(text, { file: 'site.yaml', baseFolder: folder });
    expect(result.ok ? [] : result.problems.map(({ path }) => path)).toEqual([
      'outputs[#2].folder',
    ]);
  });

  it.each([
    [`url: "${BROKER}"`, `url: "${BROKER}:1883"`],
    [`url: "${BROKER}", mode: runs`, `url: "${BROKER}"`],
    [`url: "${BROKER}", site: fen-edge`, `url: "${BROKER}"`],
    ['url: "mqtt://localhost"', 'url: "mqtt://127.0.0.1"'],
    [`url: "mqtts://broker.example"`, `url: "mqtt://Broker.example:8883"`],
  ])('are refused: topics by %s and %s', (one, two) => {
    const lines = told([`output: mqtt, ${one}`, `output: mqtt, name: second, ${two}`]);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(
      /outputs\[#2\]\.prefix: is where the output mqtt writes as well \(got topics dewbeat\/fen-edge at \S+\); give each a prefix of its own$/,
    );
  });

  it.each([
    ['output: file, folder: out', 'output: file, name: second, folder: out2'],
    ['output: file, folder: out', `output: mqtt, url: "${BROKER}"`],
    [`output: mqtt, url: "${BROKER}"`, `output: mqtt, name: second, prefix: b, url: "${BROKER}"`],
    [`output: mqtt, url: "${BROKER}"`, 'output: mqtt, name: second, url: "mqtt://other.example"'],
  ])('are none of these: %s and %s', (one, two) => {
    expect(told([one, two])).toEqual([]);
  });
});

describe('two with one client id at one broker', () => {
  it('are refused as two outputs', () => {
    expect(
      told([
        `output: mqtt, client_id: gate, url: "${BROKER}"`,
        `output: mqtt, client_id: gate, name: second, prefix: b, url: "${BROKER}"`,
      ]),
    ).toEqual([
      'site.yaml:12:32 outputs[#2].client_id: is the client id of the output mqtt at the same broker (got gate), which would throw one of them out for the other; give each a client_id of its own',
    ]);
  });

  it('are refused where one was left out', () => {
    expect(
      told([
        `output: mqtt, url: "${BROKER}"`,
        `output: mqtt, client_id: dewbeat-fen-edge-mqtt, name: second, prefix: b, url: "${BROKER}"`,
      ])[0],
    ).toContain('(got dewbeat-fen-edge-mqtt)');
  });

  it.each([
    [`weather: ${mast(', client_id: gate')}`, 'weather.client_id'],
    [`weather: [${mast('')}, ${mast(', client_id: gate')}]`, 'weather[#2].client_id'],
    [
      `weather: { observed: ${mast(', client_id: gate')}, forecast: ${mast('')} }`,
      'weather.observed.client_id',
    ],
  ])('are refused as an output and the weather', (weather, path) => {
    const lines = told([`output: mqtt, client_id: gate, url: "${BROKER}"`], weather);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain(` ${path}: is the client id of the output mqtt at the same broker`);
  });

  it('are refused as two weather sources that read the same', () => {
    const lines = told([], `weather: [${mast('')}, ${mast('')}]`);
    expect(lines[0]).toContain(
      'weather[#2].client_id: is the client id of the weather over mqtt at the same broker (got its own for mast/air)',
    );
  });

  it('are none at two brokers', () => {
    expect(
      told([
        `output: mqtt, client_id: gate, url: "${BROKER}"`,
        'output: mqtt, client_id: gate, name: second, url: "mqtt://other.example"',
      ]),
    ).toEqual([]);
  });
});

describe('a file of what ran', () => {
  it('knows every file that the output writes', () => {
    const { description } = fileOutputSchema.shape.folder.meta() ?? {};
    expect(OUTPUT_FILES.every((name) => description?.includes(name))).toBe(true);
    expect(description?.match(/\w+\.(json|csv|txt)/g)).toHaveLength(OUTPUT_FILES.length);
  });

  it.each(OUTPUT_FILES)('is refused as one that an output writes: %s', (name) => {
    expect(
      told([
        `output: file, folder: out, ran: out2/./${name}`,
        'output: file, name: second, folder: out2',
      ]),
    ).toEqual([
      `site.yaml:11:39 outputs[#1].ran: is a file that the output second writes itself (got out2/./${name}); name the file that the receiver writes`,
    ]);
    expect(told([`output: file, folder: out, ran: out/${name}`])).toHaveLength(1);
  });

  it('may stand beside them', () => {
    expect(told(['output: file, folder: out, ran: out/ran.csv'])).toEqual([]);
  });
});

describe('a secret in the environment', () => {
  it.each(['OTHER_PROGRAMS_SECRET', 'dewbeat_pass', 'DEWBEAT_', 'DEWBEAT_A-B', 'XDEWBEAT_A'])(
    'is taken from a variable of dewbeat alone, not from %s',
    (name) => {
      const asked = `username_env: "${name}", password_env: "${name}"`;
      const lines = [
        ...told([`output: mqtt, url: "${BROKER}", ${asked}`]),
        ...told([], `weather: ${mast(`, ${asked}`)}`),
        ...problemsOf(
          configText({}, [`news: { webhook: "https://a.example", secret_env: "${name}" }`]),
        ),
      ];
      expect(lines).toHaveLength(5);
      for (const line of lines) {
        expect(line).toMatch(
          /_env: is no variable for secrets of dewbeat \(got .*\); give it in one whose name begins with DEWBEAT_$/,
        );
      }
    },
  );
});

describe('the cost of a PIN', () => {
  const salt = `${'a'.repeat(22)}:${'b'.repeat(43)}`;
  const problem = (cost: string) =>
    problemsOf(
      configText({}, [`page: { people: [{ name: A. Keeper, pin: "scrypt:${cost}:${salt}" }] }`]),
    );

  it.each(['32768:8:1', '8192:8:1', '65536:8:1', '65536:8:2', '131072:4:2'])(
    'may be %s',
    (cost) => {
      expect(problem(cost)).toEqual([]);
    },
  );

  it.each([
    ['1048576:8:1', 'asks for more memory and time than a sign-in may take'],
    ['131072:8:1', 'asks for more memory and time than a sign-in may take'],
    ['32768:8:99', 'asks for more memory and time than a sign-in may take'],
    ['1024:8:1', 'is too cheap to guess'],
    ['32769:8:1', 'has a cost that scrypt does not know'],
    ['32768:0:1', 'has a cost that scrypt does not know'],
  ])('may not be %s', (cost, words) => {
    expect(problem(cost)).toEqual([
      expect.stringContaining(`${words} (got (hidden)); make one with \`dewbeat pin\``),
    ]);
  });
});
