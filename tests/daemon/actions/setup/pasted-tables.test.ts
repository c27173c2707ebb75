import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bedEntries, stationEntries } from '../../../../daemon/actions/setup/table-entries.ts';

const BEDS = [
  { id: 'green-1', name: 'Green 1' },
  { id: 'green-2', name: 'Green 2' },
];

describe('a pasted table of beds', () => {
  const wanted = [
    { id: 'green-1', name: 'Green 1', area: '5000 ft²' },
    { id: 'green-2', name: 'Green 2', area: '4600.5 ft²' },
  ];
  it.each([
    ['tabs', 'Green\tArea (ft²)\nGreen 1\t5000\nGreen 2\t4600.5'],
    ['semicolons and decimal commas', 'green;area (ft²)\r\nGreen 1;5000\r\nGreen 2;4600,5\r\n'],
    ['commas', 'Bed name,Area\nGreen 1,5000 ft²\nGreen 2,4600.5 ft²'],
    ['commas and quotes', '"Green","Size"\n"Green 1","5000"\n"Green 2","4,600.5"'],
    ['no heading row', 'Green 1, 5000\nGreen 2, 4600.5'],
    [
      'empty lines and columns',
      '\n\tGreen\tArea ft²\t\n\n\tGreen 1\t5000\t\n\tGreen 2\t4600.5\t\n',
    ],
  ])('is read with %s', (_, text) => {
    expect(bedEntries(text, 'us')).toMatchObject({ entries: wanted, problems: [] });
  });

  it('says what it took to be so, and guesses nothing unsaid', () => {
    const { entries, told, problems } = bedEntries('Green;Size;Colour\n7;410,5;blue', 'metric');
    expect(entries).toEqual([{ id: 'green-7', name: 'Green 7', area: '410.5 m²' }]);
    expect(problems).toEqual([]);
    expect(told).toEqual([
      'Cells parted by semicolons.',
      'Columns: Green as name, Size as area.',
      'Column Colour: not known here, left out.',
      'area: its numbers have no unit; taken as m², since units are metric.',
      'Ids of beds are made from their names.',
    ]);
  });

  it.each([
    ['', 'table: is empty'],
    ['Green,Area', 'has a heading and no rows'],
    ['Green 1, 5,000 ft²\nGreen 2, 4,600 ft²', 'row 1, area'],
    ['Green;Area\nGreen 1;5,000', 'row 1, Area: can be read in two ways (got 5,000)'],
    ['Green;Bed;Area\nA;B;5', 'two columns for name (got Green, Bed)'],
    [
      'Green 1, 5000, 2026-07-01, medium_open, extra',
      'row 1: has more cells than there are columns',
    ],
  ])('tells what is wrong with %j', (text, message) => {
    const { problems, entries } = bedEntries(text, 'us');
    const isOdd = problems.join('\n').includes(message);
    // A comma of thousands between commas shifts the cells: no unit fits then, and the check tells it.
    expect(isOdd || JSON.stringify(entries).includes('"000 ft²"')).toBe(true);
  });
});

describe('what a spreadsheet of a course looks like', () => {
  it('may part thousands by commas and write the month first, where units are US', () => {
    const { entries, problems, told } = bedEntries(
      'Green\tArea (ft2)\tSeeded\n1\t5,200\t11/24/2026\n2\t4800\t3/4/26',
      'us',
    );
    expect(problems).toEqual([]);
    expect(entries).toEqual([
      { id: 'green-1', name: 'Green 1', area: '5200 ft2', seeded: '2026-11-24' },
      { id: 'green-2', name: 'Green 2', area: '4800 ft2', seeded: '2026-03-04' },
    ]);
    expect(told).toContain('Days are read with the month first: 11/24/2026 is 2026-11-24.');
    expect(told).toContain('Commas in numbers part thousands: 5,200 is 5200.');
  });

  it('may call its greens by bare numbers, in the stations too', () => {
    const named = (heading: string) =>
      bedEntries(`${heading};Area\n1;410\n12b;400`, 'metric').entries;
    expect(named('Tee').map(({ id }) => id)).toEqual(['tee-1', 'tee-12b']);
    expect(named('Bed name').map(({ id }) => id)).toEqual(['1', '12b']);
    const bedOf = (cell: string, ids: string[]) => {
      const beds = ids.map((id) => ({ id }));
      const { entries } = stationEntries(`Valve;Green\nG1;${cell}`, { units: 'metric', beds });
      return entries.map(({ bed }) => bed).join();
    };
    expect(bedOf('1', ['green-11', 'green-1'])).toBe('green-1');
    expect(bedOf('1', ['green-1', 'tee-1'])).toBe('1');
    expect(bedOf('1', ['green-1', '1'])).toBe('1');
  });

  it('may have the day first, where a day proves it', () => {
    const { entries, problems, told } = bedEntries(
      'Green;Area;Seeded\nA;410;24.11.2026\nB;400;03.04.2026\nC;400;2026-05-01',
      'metric',
    );
    expect(problems).toEqual([]);
    expect(entries.map(({ seeded }) => seeded)).toEqual(['2026-11-24', '2026-04-03', '2026-05-01']);
    expect(told).toContain('Days are read with the day first: 24.11.2026 is 2026-11-24.');
  });

  it('is refused where a day can be two, or where the days disagree', () => {
    const problemsOf = (text: string) => bedEntries(text, 'metric').problems;
    expect(problemsOf('Green;Area;Seeded\nA;410;03/04/2026')).toEqual([
      'row 1: a day that can be read in two ways (got 03/04/2026); write 2026-03-04 or 2026-04-03',
    ]);
    expect(problemsOf('Green;Area;Seeded\nA;410;05/05/2026')).toEqual([]);
    expect(problemsOf('Green;Area;Seeded\nA;410;24/11/2026\nB;400;11/24/2026')).toEqual([
      'days: some have the day first, some the month; write them like 2026-11-24',
    ]);
  });

  it('keeps what is no day, for the check to tell', () => {
    const { entries } = bedEntries('Green\tArea\tSeeded\nA\t410\t31/31/2026\nB\t4\tMay', 'us');
    expect(entries.map(({ seeded }) => seeded)).toEqual(['31/31/2026', 'May']);
  });
});

describe('a pasted table of stations', () => {
  it('knows the words of the trade, the units of its headings, and the names of beds', () => {
    const text =
      'Valve\tGreen\tHeads\tNozzle flow (gpm)\tSpacing\tArc time\tMainline\n' +
      '1-A\tGreen 1\t4\t13.7\t45 x 40 ft\t2 min\tloop\n' +
      '2/A\tgreen-2\t2\t27.4\t60 ft\t180\tloop\n';
    const { entries, problems, told } = stationEntries(text, { units: 'us', beds: BEDS });
    expect(problems).toEqual([]);
    expect(entries).toEqual([
      {
        id: '1-A',
        bed: 'green-1',
        main: 'loop',
        flow: '54.8 gpm',
        rate: { nozzle: { flow: '13.7 gpm', head_spacing: '45 ft', row_spacing: '40 ft' } },
        rotation: '2 min',
      },
      {
        id: '2-A',
        bed: 'green-2',
        main: 'loop',
        flow: '54.8 gpm',
        rate: { nozzle: { flow: '27.4 gpm', head_spacing: '60 ft', row_spacing: '60 ft' } },
        rotation: '180 s',
      },
    ]);
    expect(told.join('\n')).toMatch(/heads times[\s\S]*square spacing/);
  });

  it('takes a stated rate and a flow, in the order without a heading', () => {
    const { entries } = stationEntries('s1; Green 2; 207,4; 18,3; 150', {
      units: 'metric',
      beds: BEDS,
    });
    expect(entries).toEqual([
      {
        id: 's1',
        bed: 'green-2',
        flow: '207.4 L/min',
        rate: { stated: '18.3 mm/h' },
        rotation: '150 s',
      },
    ]);
  });

  it('is the same however it is parted and marked', () => {
    const row = fc.record({
      id: fc.integer({ min: 1, max: 999 }).map((n) => `v${n}`),
      flow: fc.integer({ min: 1, max: 9999 }).map((n) => n / 10),
      rate: fc.integer({ min: 10, max: 99 }).map((n) => n / 100),
    });
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 6 }), (rows) => {
        const table = (mark: string, comma: boolean) =>
          [
            ['station', 'green', 'flow (gpm)', 'precipitation rate (in/h)'],
            ...rows.map(({ id, flow, rate }) => [id, 'Green 1', `${flow}`, `${rate}`]),
          ]
            .map((cells, index) =>
              cells.map((cell) => (comma && index > 0 ? cell.replace('.', ',') : cell)).join(mark),
            )
            .join('\n');
        const read = (mark: string, comma: boolean) =>
          stationEntries(table(mark, comma), { units: 'us', beds: BEDS });
        const plain = read('\t', false);
        expect(plain.problems).toEqual([]);
        expect(plain.entries).toHaveLength(rows.length);
        for (const other of [
          read(';', false),
          read(',', false),
          read('\t', true),
          read(';', true),
        ]) {
          expect(other.entries).toEqual(plain.entries);
        }
      }),
      { seed: 62, numRuns: 100 },
    );
  });
});
