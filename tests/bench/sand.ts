import { fullColumn } from '../../calc/sand/bed-column.ts';
import { copyColumn, runColumn } from '../../calc/sand/richards-column.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import { type SeedbedRow, seedbedModelTable } from './seedbed-model.ts';
import { line, median, times } from './timing.ts';

/** The column's speed, and how near the planning model comes to it, sand by sand. */
export function benchSand(print: (text: string) => void): void {
  const start = fullColumn(sandClass('medium_open').bed, { nodes: 40, firstMm: 0.5 });
  const day = Array.from({ length: 8 }, () => [
    { hours: 0.05, waterMmPerH: 18, demandMmPerH: 0 },
    { hours: 2.95, waterMmPerH: 0, demandMmPerH: 0.3 },
  ]).flat();
  const runs = times(7, () => {
    const column = copyColumn(start);
    for (const spell of day) runColumn(column, spell);
  });
  print(
    line('column, 24 h, 8 cycles, 40 nodes, median of 7', `${median(runs).toFixed(1)} ms`, '60 ms'),
  );

  const { rows } = seedbedModelTable();
  const sands = [...new Set(rows.map((row) => row.sand))];
  print('planning model against the column: hour of drying within 15 % or 10 min\n');
  for (const sand of sands) {
    const own = rows.filter((row) => row.sand === sand);
    const dried = own.filter((row) => row.errorMin !== null);
    const errorsMin = dried.map((row) => Math.abs(row.errorMin ?? 0));
    const worst = own.find((row) => Math.abs(row.errorMin ?? 0) === Math.max(...errorsMin));
    print(
      line(
        `  ${sand}, ${own.length} cases, ${dried.length} dry in both`,
        share(own),
        `100 %; median miss ${median(errorsMin).toFixed(0)} min, worst ${Math.max(...errorsMin).toFixed(0)} min (${worst?.case ?? ''})`,
      ),
    );
  }
  print(line('  all sands', share(rows), '100 %'));
}

function share(rows: readonly SeedbedRow[]): string {
  const ok = rows.filter((row) => row.ok).length;
  return `${ok}/${rows.length} ${((100 * ok) / rows.length).toFixed(1)} %`;
}
