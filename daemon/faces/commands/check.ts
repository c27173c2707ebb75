import type { Command } from 'commander';
import { weatherKinds } from '../../../adapters/weather/combined.ts';
import { problemText } from '../../site/config/problems.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import { openConfig } from './open-config.ts';
import type { Shell } from './shell.ts';

/** `dewbeat check`: every problem of the config, or what it holds. */
export function addCheck(program: Command, shell: Shell): void {
  program
    .command('check')
    .description(whatItDoes('check'))
    .addHelpText('after', helpAfter('check'))
    .action((_, command: Command) => {
      const { config, demo } = openConfig(command.optsWithGlobals<ConfigOption>(), shell);
      for (const warning of config.warnings)
        shell.out(say('problem.look_at', { problem: problemText(warning) }));
      const { site } = config;
      shell.out(
        say('check.sound', {
          file: demo ? say('check.demo') : (config.sources[0] ?? ''),
          site: site.name,
          beds: site.beds.length,
          stations: site.stations.length,
          zone: config.zone,
          weather: weatherKinds(config.weather),
          outputs:
            config.outputs.map((output) => output.output).join(', ') || say('check.no_outputs'),
        }),
      );
    });
}
