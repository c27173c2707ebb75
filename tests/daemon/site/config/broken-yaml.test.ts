import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { configText, problemsOf, SOUND_LINES } from './sound-config.ts';

describe('text that is no YAML', () => {
  it.each([
    {
      what: 'an open quote',
      text: configText({}, ['units: "us']),
      told: ['site.yaml:11:1: is not valid YAML: Missing closing "quote; correct the line'],
    },
    {
      what: 'a key that is set in too far',
      text: configText({}, ['page:', '    port: 80', '  address: x']),
      told: [
        'site.yaml:12:1: is not valid YAML: All mapping items must start at the same column; correct the line',
      ],
    },
    {
      what: 'a tab before an item: what was read askew is not told as a name that leads nowhere',
      text: configText({ 5: '\t- { id: g1, area: 5000 ft² }' }),
      told: [
        'site.yaml:5:1: is not valid YAML: Tabs are not allowed as indentation; correct the line',
        'site.yaml:6:3: is not valid YAML: All sequence items must start at the same column; correct the line',
      ],
    },
    {
      what: 'a line break within a map: one slip, one line',
      text: configText({
        2: 'weather: { source: outlook, wind_height: 10 m, usual: [{\nmonth: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }] }',
      }),
      told: [
        'site.yaml:3:1: is not valid YAML: Flow map in block collection must be sufficiently indented and end with a }; correct the line',
      ],
    },
    {
      what: 'a wrong value before the break, and one behind it that may not be what was meant',
      text: configText({ 2: 'units: imperial' }, [
        'page:',
        '    port: 80',
        '  address: x',
        'rules: { rest: 5 psi }',
      ]),
      told: [
        'site.yaml:2:8 units: is none of the choices (got imperial); write one of us, metric',
        'site.yaml:12:1: is not valid YAML: All mapping items must start at the same column; correct the line',
      ],
    },
    {
      what: 'a second document',
      text: `${configText()}---\nunits: us\n`,
      told: ['site.yaml:10:1: begins a second document; keep one, and take out the line ---'],
    },
    {
      what: 'an alias of nothing',
      text: configText({ 5: '  - *front' }),
      told: ['site.yaml:5:5: is an alias of nothing (got *front); set the anchor &front before it'],
    },
    {
      what: 'a tag that nobody knows',
      text: configText({}, ['units: !secret us']),
      told: ['site.yaml:10:8: is a tag that means nothing here (got !secret); take it out'],
    },
    {
      what: 'a key twice on one line',
      text: configText({ 5: '  - { id: g1, area: 5000 ft², area: 400 m² }' }),
      told: ['site.yaml:5:31 area: appears twice in one map; keep one of the two'],
    },
  ])('$what', ({ text, told }) => {
    // The whole list: nothing that only follows from the fault is told as a mistake of its own.
    expect(problemsOf(text)).toEqual(told);
  });

  it('is told to the person alone, not to the process', () => {
    const warned = vi.spyOn(process, 'emitWarning').mockImplementation(() => undefined);
    problemsOf(configText({}, ['? [a, b]\n: c', 'units: !secret us']));
    expect(warned).not.toHaveBeenCalled();
    warned.mockRestore();
  });

  it('is told at the same place with CRLF and a byte order mark', () => {
    const text = configText({}, ['units: imperial']);
    expect(problemsOf(`\uFEFF${text.replaceAll('\n', '\r\n')}`)).toEqual(problemsOf(text));
  });
});

describe('whatever is typed', () => {
  const NOTHING_ELSE = /^site\.yaml:\d+:\d+( [^\n]+)?: [^\n]+; [^\n]+$/;

  it('gives problems or a config, never a crash, each problem a line of the one form', () => {
    const all = SOUND_LINES.join('\n');
    const cut = fc.record({
      at: fc.nat(all.length - 1),
      length: fc.nat(12),
      put: fc.oneof(
        fc.string({ maxLength: 6 }),
        fc.constantFrom(
          '{',
          '}',
          '[',
          ']',
          '"',
          ': ',
          '\n',
          '\t',
          '- ',
          '&a ',
          '*a',
          '!x ',
          '-5',
          '~',
        ),
      ),
    });
    let spoilt = 0;
    fc.assert(
      fc.property(fc.array(cut, { minLength: 1, maxLength: 3 }), (cuts) => {
        const text = cuts.reduce(
          (now, { at, length, put }) => now.slice(0, at) + put + now.slice(at + length),
          all,
        );
        const told = problemsOf(text);
        if (told.length > 0) spoilt += 1;
        for (const line of told) expect(line).toMatch(NOTHING_ELSE);
        expect(new Set(told).size).toBe(told.length);
      }),
      { seed: 41, numRuns: 300 },
    );
    // The cuts do spoil: the property is not held by sound texts alone.
    expect(spoilt).toBeGreaterThan(150);
  });
});
