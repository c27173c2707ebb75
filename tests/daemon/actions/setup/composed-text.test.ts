import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { composedText } from '../../../../daemon/actions/setup/composed-text.ts';
import { differenceOf, shownDifference } from '../../../../daemon/actions/setup/line-difference.ts';

const OLD = `# kept: first line
site:
  id: fen-edge            # kept: beside the id
  name: "Fen Edge (invented)"
  elevation: 30 m

# kept: above supply
supply: { pump_flow: 900 L/min } # kept: behind supply
weather: &w
  source: outlook
  usual:
    - { month: 7, high: 30 °C }   # kept: July
beds:
  # kept: above g1
  - { id: g1, area: 5000 ft², trim: 90 % }
  - id: g2                # kept: g2
    area: 400 m²
beds_note: !!str kept
`;

const changed = (raw: Record<string, unknown>) => {
  const text = composedText(OLD, raw);
  return {
    text,
    lines: shownDifference(differenceOf(OLD, text)).filter((line) => /^[+-]/.test(line)),
  };
};

describe('the text of an edited config', () => {
  it('stays to the letter when nothing changes', () => {
    expect(changed({ site: { id: 'fen-edge' }, beds: [{ id: 'g1' }, { id: 'g2' }] }).text).toBe(
      OLD,
    );
  });

  it('changes one value and no other line', () => {
    expect(changed({ site: { elevation: '31 m' } }).lines).toEqual([
      '-   elevation: 30 m',
      '+   elevation: 31 m',
    ]);
    expect(changed({ beds: [{ id: 'g1', area: '450 m²' }, { id: 'g2' }] }).lines).toEqual([
      '-   - { id: g1, area: 5000 ft², trim: 90 % }',
      '+   - { id: g1, area: 450 m², trim: 90 % }',
    ]);
  });

  it('keeps every comment while entries come, go and move', () => {
    const { text } = changed({
      units: 'us',
      supply: { pump_flow: '800 L/min', mains: [{ id: 'm1', flow: '600 L/min' }] },
      beds: [{ id: 'g3', area: '300 m²' }, { id: 'g2' }, { id: 'g1', trim: null }],
    });
    for (const kept of OLD.match(/# kept: [\w ]+/g) ?? []) expect(text).toContain(kept);
    expect(parse(text)).toMatchObject({
      units: 'us',
      supply: { pump_flow: '800 L/min', mains: [{ id: 'm1', flow: '600 L/min' }] },
      beds: [
        { id: 'g3', area: '300 m²' },
        { id: 'g2', area: '400 m²' },
        { id: 'g1', area: '5000 ft²' },
      ],
    });
    expect(text).not.toContain('trim');
  });

  it('puts another form in place of the old one whole', () => {
    const { text } = changed({ weather: { source: 'epw', file: 'typical.epw' } });
    expect(parse(text).weather).toEqual({ source: 'epw', file: 'typical.epw' });
  });

  it('does not touch the other lines of the full example', () => {
    const path = new URL('../../../../config-examples/full.yaml', import.meta.url);
    const full = readFileSync(path, 'utf8');
    const text = composedText(full, { site: { name: 'Another Spit (invented)' } });
    expect(shownDifference(differenceOf(full, text)).filter((line) => /^[+-]/.test(line))).toEqual([
      '-   name: Saltmarsh Spit (invented)',
      '+   name: Another Spit (invented)',
    ]);
  });
});

describe('a difference', () => {
  it('turns the one text into the other', () => {
    const [before, after] = ['a\nb\nc\nd\ne\nf\ng\n', 'a\nc\nd\nX\ne\nf\ng\nh\n'];
    const lines = differenceOf(before, after);
    const without = (kind: string) =>
      `${lines
        .filter((line) => line.kind !== kind)
        .map(({ text }) => text)
        .join('\n')}\n`;
    expect(without('in')).toBe(before);
    expect(without('out')).toBe(after);
    expect(lines.filter(({ kind }) => kind !== 'same')).toHaveLength(3);
    expect(differenceOf(before, before).every(({ kind }) => kind === 'same')).toBe(true);
  });
});
