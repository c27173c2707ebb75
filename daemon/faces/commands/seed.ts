import type { Command } from 'commander';
import { type DisplayUnits, display } from '../../../adapters/display-units.ts';
import { readQuantity } from '../../../adapters/quantity.ts';
import { readSeedRate } from '../../../adapters/seed-rate-text.ts';
import { BENTGRASS_SEED_RATE_KG_PER_M2, seedOrder } from '../../../calc/growth/seed-rate.ts';
import { table } from '../../words/text-columns.ts';
import { knownBed } from './known-bed.ts';
import { type ConfigOption, openConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface SeedOptions extends ConfigOption {
  bed?: string;
  area?: string;
  rate?: string;
  passes: string;
}

const KG_PER_LB = 0.45359237;

/** `dewbeat seed`: seed for each bed and pass, and how thick it lies. */
export function addSeed(program: Command, shell: Shell): void {
  program
    .command('seed')
    .description('work out the seed for the beds, or for an area')
    .option('--bed <id>', 'only this bed')
    .option('--area <area>', 'an area in place of the beds, such as "5000 ft2"')
    .option('--rate <rate>', 'such as "1.5 lb/1000ft2" or "7.3 g/m2" (default: 1.5 lb/1000 ft²)')
    .option('--passes <n>', 'passes at right angles', '2')
    .addHelpText('after', '\nExample:\n  $ dewbeat seed --area "5000 ft2" --rate "1.5 lb/1000ft2"')
    .action((_, command: Command) => {
      const options = command.optsWithGlobals<SeedOptions>();
      const { config } = openConfig(options, shell);
      const { site, units } = config;
      const rateKgPerM2 = rateOf(options.rate);
      const passes = Number(options.passes);
      if (!Number.isInteger(passes) || passes < 1 || passes > 10) {
        throw new CommandFailure(2, `--passes: must be 1 to 10 (got ${options.passes})`);
      }
      const areas =
        options.area !== undefined
          ? [{ name: 'area', areaM2: areaOf(options.area) }]
          : options.bed !== undefined
            ? [knownBed(site, options.bed)]
            : site.beds;
      const rows = areas.map(({ name, areaM2 }) => {
        const order = seedOrder({ areaM2, rateKgPerM2, passes });
        return [
          name,
          display(units).area(areaM2),
          mass(order.seedKg, units),
          mass(order.seedPerPassKg, units),
          order.seedsPerIn2.map((seeds) => seeds.toFixed(0)).join(' to '),
          order.seedsPerCm2.map((seeds) => seeds.toFixed(1)).join(' to '),
        ];
      });
      const totalM2 = areas.reduce((sum, { areaM2 }) => sum + areaM2, 0);
      shell.out(table(['bed', 'area', 'seed', 'each pass', 'seeds/in²', 'seeds/cm²'], rows));
      shell.out(
        `In all ${mass(totalM2 * rateKgPerM2, units)} at ${(rateKgPerM2 * 1000).toFixed(1)} g/m², ${passes} ${passes === 1 ? 'pass' : 'passes'}.`,
      );
      shell.out(
        'Weights are of pure live seed: divide by purity and germination of the lot. Seed counts are those of creeping bentgrass (common practice).',
      );
    });
}

function rateOf(text: string | undefined): number {
  if (text === undefined) return BENTGRASS_SEED_RATE_KG_PER_M2;
  const reading = readSeedRate(text);
  if (!reading.ok) throw new CommandFailure(2, `--rate: ${reading.message}`);
  return reading.value;
}

function areaOf(text: string): number {
  const reading = readQuantity(text, 'area', { min: 1, max: 1_000_000 });
  if (!reading.ok) throw new CommandFailure(2, `--area: ${reading.message}`);
  return reading.value;
}

function mass(kg: number, units: DisplayUnits): string {
  return units === 'us' ? `${(kg / KG_PER_LB).toFixed(2)} lb` : `${kg.toFixed(2)} kg`;
}
