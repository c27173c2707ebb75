import type { Command } from 'commander';
import { type DisplayUnits, display, type UnitDisplay } from '../../../adapters/display-units.ts';
import { type BedProfile, capacityOverN, dryDownTable } from '../../../calc/sand/bed-column.ts';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { bedStore } from '../../../calc/sand/model-store.ts';
import { fitRetention, type RetentionFit } from '../../../calc/sand/retention-curves.ts';
import { type SandClass, sandClass } from '../../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM } from '../../../calc/sand/seedbed-store.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { sandModels } from '../../planning/sand-models.ts';
import { sayIn } from '../../words/language.ts';
import { table } from '../../words/text-columns.ts';
import { type ConfigOption, openConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface SandOptions extends ConfigOption {
  bed?: string;
}

const HOURS_AT_MM_PER_H = [0.3, 0.5, 0.7] as const;
const SUCTIONS_CM = [5, 10, 20, 30, 40, 60, 100] as const;

/** `dewbeat sand`: what the plans take a sand to be, how it dries, and how sure that is. */
export function addSand(program: Command, shell: Shell): void {
  program
    .command('sand')
    .description('explain the sands: fitted curve, dry-down, capacity, best dose, what is assumed')
    .option('--bed <id>', 'only the sand of this bed')
    .addHelpText('after', '\nExample:\n  $ dewbeat sand --bed green-3')
    .action((_, command: Command) => {
      const options = command.optsWithGlobals<SandOptions>();
      const { config } = openConfig(options, shell);
      const beds = config.site.beds.filter(
        (bed) => options.bed === undefined || bed.id === options.bed,
      );
      if (beds.length === 0) {
        throw new CommandFailure(
          2,
          `--bed: no such bed (got ${options.bed}); the beds are ${config.site.beds.map((bed) => bed.id).join(', ')}`,
        );
      }
      const names = [...new Set(beds.map((bed) => bed.sand.name))];
      for (const name of names) {
        const own = beds.filter((bed) => bed.sand.name === name);
        const sand = own[0]?.sand;
        if (sand === undefined) continue;
        shell.out(`${name}: ${own.map((bed) => bed.name).join(', ')}`);
        shell.out(explained(sand, { units: config.units, dataFolder: config.dataFolder }));
        shell.out('');
      }
    });
}

function explained(sand: BedSand, given: { units: DisplayUnits; dataFolder: string }): string {
  const show = display(given.units);
  if (sand.stated !== null) {
    const { capacityMm, feedMmPerH } = sand.stated;
    return `  Your own figures: holds ${show.depth(capacityMm)} between full and dry limit, fed ${show.rate(feedMmPerH)} from below. A laboratory report would tell the rest.`;
  }
  const standIn = sandClass(sand.className);
  const fit = sand.lab === null ? null : fitRetention(sand.lab.report, standIn.bed.sand);
  const bed: BedProfile =
    sand.lab === null || fit === null
      ? standIn.bed
      : { sand: fit.sand, depthMm: sand.lab.depthMm, under: sand.lab.under };
  const models = sandModels(given.dataFolder)(sand, SEED_LAYER_MM);
  const store = bedStore(models);
  const doseMm = store.roomMm(store.stateAt(0.2, 0.5));
  return [
    ...knownLines(sand, standIn, fit),
    ...curveLines(bed),
    ...dryDownLines(bed, show),
    ...severalLines(models.length, { fit, standIn, under: bed.under }),
    `  The planner counts ${show.depth(store.capacityMm(0.5))} at ${show.rate(0.5)}; from its reserve a dose of ${show.depth(doseMm)} drains nothing.`,
    ...hoursLine(store.capacityMm, show),
    ...surenessLines(sand, standIn, { bed, fit, show }),
  ].join('\n');
}

const say = sayIn('en');

function knownLines(sand: BedSand, standIn: SandClass, fit: RetentionFit | null): string[] {
  if (fit === null) {
    return [
      `  Assumed: ${say(`sand.${standIn.key}`)} (${say(`sand_basis.${standIn.basis}`)}: ${say(`sand_source.${standIn.source}`)}).`,
    ];
  }
  const assumed = (['alphaPerCm', 'n', 'residualFraction'] as const).filter(
    (name) => !fit.fitted.includes(name),
  );
  const points = (sand.lab?.report.releasePoints?.length ?? 0) + 1;
  return [
    `  From the laboratory report, ${points} ${points === 1 ? 'point' : 'points'} of the release curve; curve misses them by ${(100 * fit.missFraction).toFixed(2)} % of volume.`,
    ...(assumed.length > 0
      ? [`  Assumed from ${say(`sand.${standIn.key}`)}: ${assumed.join(', ')}.`]
      : ['  Nothing of the curve is assumed.']),
  ];
}

function curveLines(bed: BedProfile): string[] {
  const soil = vanGenuchtenMualem(bed.sand);
  const { alphaPerCm, n, residualFraction, saturatedFraction, saturatedMmPerH } = bed.sand;
  const rows = SUCTIONS_CM.map((suctionCm) => [
    `${suctionCm} cm`,
    `${(100 * soil.waterFraction(-10 * suctionCm)).toFixed(1)} %`,
  ]);
  return [
    `  Curve (van Genuchten): alpha ${alphaPerCm.toFixed(4)} /cm, n ${n.toFixed(2)}, residual ${(100 * residualFraction).toFixed(1)} %, full ${(100 * saturatedFraction).toFixed(1)} %, conductivity ${saturatedMmPerH.toFixed(0)} mm/h; ${bed.depthMm} mm ${bed.under === 'gravel' ? 'over gravel' : 'open below'}.`,
    indented(table(['suction', 'water'], rows)),
  ];
}

function dryDownLines(bed: BedProfile, show: UnitDisplay): string[] {
  const rows = dryDownTable(bed).map((row) => [
    show.rate(row.demandMmPerH),
    row.hours === null ? 'not in 120 h' : `${row.hours.toFixed(1)} h`,
    row.capacityMm === null ? '-' : show.depth(row.capacityMm),
    row.event === null
      ? '-'
      : row.event === 'surface'
        ? 'surface no longer wet'
        : 'seed layer half dry',
  ]);
  return [
    '  Dried down in the numerical column, from full:',
    indented(table(['demand', 'dry after', 'lost until then', 'because'], rows)),
  ];
}

/** Why a plan follows more than one sand on this bed. */
function severalLines(
  count: number,
  known: { fit: RetentionFit | null; standIn: SandClass; under: BedProfile['under'] },
): string[] {
  const { fit, standIn, under } = known;
  if (fit === null) {
    return [
      `  Sands of this class differ (${say(`sand_range.${standIn.range.source}`)}): such sands are planned for the worst, by ${count} of them.`,
    ];
  }
  if (count === 1) return [];
  const worst = `Planned with ${count} sands at once, for the worst of them at each moment`;
  const why = [
    ...(fit.fitted.includes('n') ? [] : ['n is open']),
    ...(under === 'gravel' ? ['wetted sand lifts less than its drained curve says'] : []),
  ];
  return [`  ${worst}: ${why.join(', and ')}.`];
}

function hoursLine(capacityMm: (demandMmPerH: number) => number, show: UnitDisplay): string[] {
  const hours = HOURS_AT_MM_PER_H.map(
    (rate) => `${(capacityMm(rate) / rate).toFixed(1)} h at ${show.rate(rate)}`,
  );
  return [`  So a full seedbed lasts, as planned: ${hours.join(', ')}.`];
}

/** How far the answer hangs on what nobody measured. */
function surenessLines(
  sand: BedSand,
  standIn: SandClass,
  given: { bed: BedProfile; fit: RetentionFit | null; show: UnitDisplay },
): string[] {
  const { bed, fit, show } = given;
  if (fit?.fitted.includes('n')) return [];
  const ns = [standIn.lowerN, (standIn.lowerN + standIn.upperN) / 2, standIn.upperN];
  const rows = capacityOverN(bed, { ns, demandMmPerH: 0.5 }).map((row) => [
    row.n.toFixed(1),
    row.capacityMm === null ? 'not dry in 120 h' : show.depth(row.capacityMm),
  ]);
  return [
    `  How sure: n is assumed. Across its plausible range the same bed would hold, at ${show.rate(0.5)}:`,
    indented(table(['n', 'lost until dry'], rows)),
    sand.basis === 'lab_report'
      ? '  Two more points of the release curve, or a few looks, settle it.'
      : '  A laboratory report settles it; until then trust your eye and fingertip.',
  ];
}

function indented(text: string): string {
  return text
    .split('\n')
    .map((line) => `    ${line}`)
    .join('\n');
}
