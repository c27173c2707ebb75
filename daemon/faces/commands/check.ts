import type { Command } from 'commander';
import { weatherKinds } from '../../../adapters/weather/combined.ts';
import { problemText } from '../../site/config/problems.ts';
import { type ConfigOption, openConfig } from './open-config.ts';
import type { Shell } from './shell.ts';

/** `dewbeat check`: every problem of the config, or what it holds. */
export function addCheck(program: Command, shell: Shell): void {
  program
    .command('check')
    .description('read the config and tell everything that is wrong with it')
    .addHelpText('after', '\nExample:\n  $ dewbeat check -c greens.yaml')
    .action((_, command: Command) => {
      const { config, demo } = openConfig(command.optsWithGlobals<ConfigOption>(), shell);
      for (const warning of config.warnings) shell.out(`look at: ${problemText(warning)}`);
      const { site } = config;
      shell.out(
        `${demo ? 'embedded demo' : config.sources[0]}: sound. ${site.name}, ${site.beds.length} beds, ${site.stations.length} stations, zone ${config.zone}, weather ${weatherKinds(config.weather)}, outputs ${config.outputs.map((output) => output.output).join(', ') || 'none'}.`,
      );
    });
}
