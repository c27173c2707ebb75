import type { Command } from 'commander';
import { type DisplayUnits, display, type UnitDisplay } from '../../../adapters/display-units.ts';
import { bedStore, memberSpread } from '../../../calc/futures/member-spread.ts';
import { type BedProfile, capacityOverN, dryDownTable } from '../../../calc/sand/bed-column.ts';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { fitRetention, type RetentionFit } from '../../../calc/sand/retention-curves.ts';
import { type SandClass, sandClass } from '../../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM } from '../../../calc/sand/seedbed-store.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { sandModels } from '../../planning/sand-models.ts';
import {
  headingsOf,
  helpAfter,
  sayAtCommandLine as say,
  whatItDoes,
} from '../../words/command-line.ts';
import { sayIn } from '../../words/language.ts';
import { table } from '../../words/text-columns.ts';
import type { ConfigOption } from './config-option.ts';
import { knownBed } from './given-options.ts';
import { openConfig } from './open-config.ts';
import type { Shell } from './shell.ts';

interface SandOptions extends ConfigOption {
  bed?: string;
}

const HOURS_AT_MM_PER_H = [0.3, 0.5, 0.7] as const;
const SUCTIONS_CM = [5, 10, 20, 30, 40, 60, 100] as const;

/** `dewbeat sand`: what the plans take a sand to be, how it dries, and how sure that is. */
export function addSand(program: Command, shell: Shell): void {
  program
    .command('sand')
    .description(whatItDoes('sand'))
    .option('--bed <id>', say('sand.bed'))
    .addHelpText('after', helpAfter('sand'))
    .action((_, command: Command) => {
      const options = command.optsWithGlobals<SandOptions>();
      const { config } = openConfig(options, shell);
      const { site } = config;
      const beds = options.bed === undefined ? site.beds : [knownBed(site, options.bed)];
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
    return `  ${say('sand.stated', { capacity: show.depth(capacityMm), feed: show.rate(feedMmPerH) })}`;
  }
  const standIn = sandClass(sand.className);
  const fit = sand.lab === null ? null : fitRetention(sand.lab.report, standIn.bed.sand);
  const bed: BedProfile =
    sand.lab === null || fit === null
      ? standIn.bed
      : { sand: fit.sand, depthMm: sand.lab.depthMm, under: sand.lab.under };
  const models = sandModels(given.dataFolder)(sand, SEED_LAYER_MM);
  const store = bedStore(memberSpread(models));
  const doseMm = store.roomMm(store.stateAt(0.2, 0.5));
  return [
    ...knownLines(sand, standIn, fit),
    ...curveLines(bed),
    ...dryDownLines(bed, show),
    ...severalLines(models.length, { fit, standIn }),
    `  ${say('sand.counts', {
      capacity: show.depth(store.capacityMm(0.5)),
      rate: show.rate(0.5),
      dose: show.depth(doseMm),
    })}`,
    ...hoursLine(store.capacityMm, show),
    ...surenessLines(sand, standIn, { bed, fit, show }),
  ].join('\n');
}

function knownLines(sand: BedSand, standIn: SandClass, fit: RetentionFit | null): string[] {
  if (fit === null) {
    const sayGround = sayIn('en');
    const sand = sayGround(`sand.${standIn.key}`);
    const basis = sayGround(`sand_basis.${standIn.basis}`);
    const source = sayGround(`sand_source.${standIn.source}`);
    return [`  ${say('sand.assumed', { sand, basis, source })}`];
  }
  const assumed = (['alphaPerCm', 'n', 'residualFraction'] as const).filter(
    (name) => !fit.fitted.includes(name),
  );
  const points = (sand.lab?.report.releasePoints?.length ?? 0) + 1;
  return [
    `  ${say('sand.fitted', { points, miss: (100 * fit.missFraction).toFixed(2) })}`,
    ...(assumed.length > 0
      ? [
          `  ${say('sand.assumed_from', { sand: sayIn('en')(`sand.${standIn.key}`), names: assumed.join(', ') })}`,
        ]
      : [`  ${say('sand.none_assumed')}`]),
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
    `  ${say('sand.curve', {
      alpha: alphaPerCm.toFixed(4),
      n: n.toFixed(2),
      residual: (100 * residualFraction).toFixed(1),
      full: (100 * saturatedFraction).toFixed(1),
      conductivity: saturatedMmPerH.toFixed(0),
      depth: bed.depthMm,
      under: bed.under,
    })}`,
    indented(table(headingsOf('sand.curve_heading'), rows)),
  ];
}

function dryDownLines(bed: BedProfile, show: UnitDisplay): string[] {
  const rows = dryDownTable(bed).map((row) => [
    show.rate(row.demandMmPerH),
    row.hours === null ? say('sand.not_dry') : `${row.hours.toFixed(1)} h`,
    row.capacityMm === null ? '-' : show.depth(row.capacityMm),
    row.event === null
      ? '-'
      : say(row.event === 'surface' ? 'sand.surface_dry' : 'sand.layer_half_dry'),
  ]);
  return [`  ${say('sand.dried_down')}`, indented(table(headingsOf('sand.dry_heading'), rows))];
}

/** Why a plan follows more than one sand on this bed. */
function severalLines(
  count: number,
  known: { fit: RetentionFit | null; standIn: SandClass },
): string[] {
  const { fit, standIn } = known;
  if (fit === null) {
    const source = sayIn('en')(`sand_range.${standIn.range.source}`);
    return [`  ${say('sand.class_differs', { source, count })}`];
  }
  if (count === 1) return [];
  const why = fit.fitted.includes('n') ? 'curve' : 'n';
  return [`  ${say('sand.several', { count, why: say('sand.why_several', { why }) })}`];
}

function hoursLine(capacityMm: (demandMmPerH: number) => number, show: UnitDisplay): string[] {
  const hours = HOURS_AT_MM_PER_H.map((mmPerH) =>
    say('sand.hours', {
      hours: (capacityMm(mmPerH) / mmPerH).toFixed(1),
      rate: show.rate(mmPerH),
    }),
  );
  return [`  ${say('sand.lasts', { hours: hours.join(', ') })}`];
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
    row.capacityMm === null ? say('sand.sure_not_dry') : show.depth(row.capacityMm),
  ]);
  return [
    `  ${say('sand.how_sure', { rate: show.rate(0.5) })}`,
    indented(table(headingsOf('sand.sure_heading'), rows)),
    `  ${say(sand.basis === 'lab_report' ? 'sand.more_points' : 'sand.needs_report')}`,
  ];
}

function indented(text: string): string {
  return text
    .split('\n')
    .map((line) => `    ${line}`)
    .join('\n');
}
