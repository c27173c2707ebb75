import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { problemText } from '../../../../daemon/site/config/problems.ts';
import { readBedTable } from '../../../../daemon/site/config/tables.ts';

function read(text: string) {
  const { entries, problems } = readBedTable(text, 'beds.csv');
  const areas = entries.map((entry) => {
    const { line, column } = entry.placeOf(['area']);
    return `${line}:${column}`;
  });
  return { raws: entries.map(({ raw }) => raw), areas, told: problems.map(problemText) };
}

describe('the place of a cell', () => {
  it('counts comments, empty lines and blanks', () => {
    expect(read('\n\n# c\n\nid,area\n\n# d\n g1 , 5 m²\n')).toEqual({
      raws: [{ id: 'g1', area: '5 m²' }],
      areas: ['8:6'],
      told: [],
    });
  });

  it('is that of its own line when a cell before it goes over two', () => {
    expect(read('id,name,area\ng1,"Green\n1",5 m²\ng2,x,6 m²\n').areas).toEqual(['3:4', '4:6']);
    expect(read('id,area\r\n"g\r\n2",5 m²\r\n').areas).toEqual(['3:4']);
  });

  it('is where the cell stands in the text, whatever stands around it', () => {
    const name = fc
      .string({ minLength: 1, maxLength: 8 })
      .map((text) => text.replace(/[\r"]/g, '_'));
    fc.assert(
      fc.property(fc.array(name, { minLength: 1, maxLength: 5 }), (names) => {
        const rows = names.map((text, index) => `g${index},"${text}",${index + 5} m²`);
        const table = `id,name,area\n${rows.join('\n')}\n`;
        const lines = table.split('\n');
        const { areas, raws } = read(table);
        expect(raws).toHaveLength(names.length);
        for (const [index, place] of areas.entries()) {
          const [line = 0, column = 0] = place.split(':').map(Number);
          expect(lines[line - 1]?.slice(column - 1)).toBe(`${index + 5} m²`);
        }
      }),
      { seed: 51, numRuns: 200 },
    );
  });
});

describe('the form of a table', () => {
  it('may have empty columns behind the last, as spreadsheets write them', () => {
    expect(read('id,area,,\ng1,5 m²,,\n').told).toEqual([]);
    expect(read('id,area,\ng1,5 m²,shady\n').told).toEqual([
      'beds.csv:2:9: stands under a column without a name; name the column in the first line',
    ]);
  });

  it.each([
    [';', ';'],
    ['\t', 'tabs'],
  ])('needs commas, not %j', (mark, got) => {
    expect(read(`id${mark}area\ng1${mark}5 m²\n`)).toEqual({
      raws: [],
      areas: [],
      told: [
        `beds.csv:1:1: has no commas between its columns (got ${got}); write the table with commas`,
      ],
    });
  });

  it('has each column once', () => {
    expect(read('id,area,Area\ng1,5 m²,6 m²\n').told).toEqual([
      'beds.csv:1:9 area: is a column twice; keep one of the two',
    ]);
  });
});
