import type { Command } from 'commander';
import { type DisplayUnits, display } from '../../../adapters/display-units.ts';
import { readQuantity } from '../../../adapters/quantity.ts';
import { readSeedRate } from '../../../adapters/seed-rate-text.ts';
import { BENTGRASS_SEED_RATE_KG_PER_M2, seedOrder } from '../../../calc/growth/seed-rate.ts';
import {
  headingsOf,
  helpAfter,
  sayAtCommandLine as say,
  whatItDoes,
} from '../../words/command-line.ts';
import { table } from '../../words/text-columns.ts';
import type { ConfigOption } from './config-option.ts';
import { knownBed, wholeGiven } from './given-options.ts';
import { openConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface SeedOptions extends ConfigOption {
  bed?: string;
  area?: string;
  rate?: string;
  passes: string;
}

const KG_PER_LB = 0.45359237;
const MOST_PASSES = 10;

/** `dewbeat seed`: seed for each bed and pass, and how thick it lies. */
export function addSeed(program: Command, shell: Shell): void {
  program
    .command('seed')
    .description(whatItDoes('seed'))
    .option('--bed <id>', say('seed.bed'))
    .option('--area <area>', say('seed.area'))
    .option('--rate <rate>', say('seed.rate'))
    .option('--passes <n>', say('seed.passes'), '2')
    .addHelpText('after', helpAfter('seed'))
    .action((_, command: Command) => {
      const options = command.optsWithGlobals<SeedOptions>();
      const { config } = openConfig(options, shell);
      const { site, units } = config;
      const rateKgPerM2 = rateOf(options.rate);
      const passes = wholeGiven('passes', options.passes, MOST_PASSES);
      const areas =
        options.area !== undefined
          ? [{ name: say('seed.area_row'), areaM2: areaOf(options.area) }]
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
          between(order.seedsPerIn2.map((seeds) => seeds.toFixed(0))),
          between(order.seedsPerCm2.map((seeds) => seeds.toFixed(1))),
        ];
      });
      const totalM2 = areas.reduce((sum, { areaM2 }) => sum + areaM2, 0);
      shell.out(table(headingsOf('seed.heading'), rows));
      shell.out(
        say('seed.total', {
          mass: mass(totalM2 * rateKgPerM2, units),
          rate: (rateKgPerM2 * 1000).toFixed(1),
          passes,
        }),
      );
      shell.out(say('seed.pure'));
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

function between([least = '', most = '']: readonly string[]): string {
  return say('seed.between', { least, most });
}

function mass(kg: number, units: DisplayUnits): string {
  return units === 'us' ? `${(kg / KG_PER_LB).toFixed(2)} lb` : `${kg.toFixed(2)} kg`;
}
