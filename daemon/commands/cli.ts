import { Command, CommanderError } from 'commander';
import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import { NoWeather } from '../planning/plan-weather.ts';
import { StoreFault } from '../store/fault.ts';
import { addCheck } from './check.ts';
import { addConfirm } from './confirm.ts';
import { addHoldCommand } from './hold.ts';
import { addLog } from './log.ts';
import { DEFAULT_CONFIG } from './open-config.ts';
import { addPlanCommand } from './plan.ts';
import { addReplay } from './replay.ts';
import { addRun } from './run.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { addShow } from './show.ts';
import { addWeather } from './weather.ts';

/**
 * Runs the command line and gives its exit code: 0 well, 1 a fault, 2 wrong config or usage.
 * @param args Arguments after the program's name.
 */
export async function runCli(args: readonly string[], shell: Shell): Promise<0 | 1 | 2> {
  const program = new Command('dewbeat')
    .description(
      'Plans short, offbeat watering for newly seeded sand greens; sends nothing unconfirmed.',
    )
    .option('-c, --config <file>', `config file (default: ${DEFAULT_CONFIG}, or the embedded demo)`)
    .configureOutput({
      writeOut: (text) => shell.out(text.trimEnd()),
      writeErr: (text) => shell.err(text.trimEnd()),
    })
    .exitOverride()
    .showSuggestionAfterError();
  const add = [
    addCheck,
    addWeather,
    addPlanCommand,
    addShow,
    addConfirm,
    addHoldCommand,
    addLog,
    addReplay,
    addRun,
  ];
  for (const command of add) command(program, shell);
  for (const command of program.commands) {
    command
      .option(
        '-c, --config <file>',
        `config file (default: ${DEFAULT_CONFIG}, or the embedded demo)`,
      )
      .copyInheritedSettings(program);
  }
  try {
    await program.parseAsync([...args], { from: 'user' });
    return 0;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
    if (error instanceof CommandFailure) {
      shell.err(error.message);
      return error.exitCode;
    }
    if (isPlainFault(error)) {
      shell.err(error.message);
      return 1;
    }
    shell.err(error instanceof Error ? (error.stack ?? error.message) : String(error));
    return 1;
  }
}

/** Faults whose message already says where, what and what to do. */
function isPlainFault(error: unknown): error is Error {
  return (
    error instanceof WeatherUnreadable || error instanceof NoWeather || error instanceof StoreFault
  );
}
