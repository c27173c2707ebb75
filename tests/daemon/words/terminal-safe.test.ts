import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { paint } from '../../../daemon/faces/terminal/review-line.ts';
import { daemonLog } from '../../../daemon/service/log.ts';
import { terminalSafe, terminalSafeLine } from '../../../daemon/words/safe-text.ts';
import { scratchFolder } from '../../scratch-site.ts';

const MAIN = fileURLToPath(new URL('../../../dist/daemon/main.js', import.meta.url));

/** What no terminal may get of a name: controls, marks of direction, and what else is not seen. */
const UNSEEN = [
  ...Array.from({ length: 32 }, (_, code) => code).filter((code) => code !== 9 && code !== 10),
  ...Array.from({ length: 33 }, (_, index) => 0x7f + index),
  ...[0x61c, 0x200b, 0x200e, 0x200f, 0x2028, 0x2029, 0xfeff, 0xfff9],
  ...[0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069],
];
const hex = (code: number) => `\\u${code.toString(16).padStart(4, '0')}`;

describe('terminalSafe', () => {
  it.each(UNSEEN.map((code) => [hex(code), code] as const))(
    'shows %s and does not send it',
    (shown, code) => {
      expect(terminalSafe(`a${String.fromCodePoint(code)}b`)).toBe(`a${shown}b`);
    },
  );

  it('leaves what people write, in whatever script, and lines as they are', () => {
    const text = 'Größe 3\t– 12 °C\r\nعشب 草坪 می‌خواهم 👩‍🌾\n';
    expect(terminalSafe(text)).toBe(text);
  });

  it('shows tags that lie beyond sixteen bits', () => {
    expect(terminalSafe('\u{e0041}')).toBe('\\udb40\\udc41');
  });

  it('leaves JSON the same JSON', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(JSON.parse(terminalSafe(JSON.stringify({ text }, null, 2)))).toEqual({ text });
      }),
    );
  });

  it('lets nothing through, whatever the text', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(terminalSafeLine(text)).toMatch(/^(?:[^\p{Cc}\p{Cf}\p{Zl}\p{Zp}]|\u200c|\u200d)*$/u);
      }),
    );
  });
});

describe('what comes from outside', () => {
  const NAME = 'G1\u001b[2J\u202e\u009b31m\nx';

  it('steers nothing in the review, whose own marks stay', () => {
    const painted = paint(null, [{ text: NAME, tone: 'warn' }], true);
    expect(painted).toContain('\u001b[33mG1\\u001b[2J\\u202e\\u009b31m x\u001b[0m');
  });

  it('steers nothing in the log of a person', () => {
    const lines: string[] = [];
    const log = daemonLog({
      level: 'info',
      forPerson: true,
      to: { write: (line) => void lines.push(line) },
    });
    log.warn({ bed: NAME }, `held: ${NAME}`);
    const text = lines.join('');
    expect(text).toContain('G1\\u001b[2J\\u202e\\u009b31m');
    for (const mark of ['\u001b', '\u009b', '\u202e']) expect(text).not.toContain(mark);
  });

  it('steers nothing in what the built program says, where it takes it for a text at all', () => {
    const folder = scratchFolder();
    const minimal = fileURLToPath(
      new URL('../../../config-examples/minimal.yaml', import.meta.url),
    );
    const named = '"Green \\e[2J\\u202e\\x9b31m 1"';
    const text = readFileSync(minimal, 'utf8').replace('name: Green 1,', `name: ${named},`);
    writeFileSync(join(folder, 'dewbeat.yaml'), text);
    const run = (...args: string[]) => {
      const { stdout, stderr } = spawnSync(process.execPath, [MAIN, ...args], { cwd: folder });
      return `${stdout}${stderr}`;
    };
    const said = [
      run('check'),
      run('plan'),
      run('show'),
      run('hold', '--demo', '--who', NAME, '--why', NAME),
      run('log'),
      run('no-such-command\u001b[2J'),
    ];
    expect(said.join('')).toContain('Green \\u001b[2J\\u202e');
    for (const mark of ['\u001b', '\u009b', '\u202e']) expect(said.join('')).not.toContain(mark);
  }, 120_000);
});
