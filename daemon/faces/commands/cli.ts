import { Command, CommanderError } from 'commander';
import { WeatherUnreadable } from '../../../adapters/weather/source.ts';
import { NoWeather } from '../../planning/planning-context.ts';
import { storeRefusal } from '../../site/store/store-faults.ts';
import { VERSION } from '../../version.ts';
import { DEFAULT_CONFIG } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

type AddCommand = (program: Command, shell: Shell) => void;

/** Every command, loaded when it is asked for: `show` must not wait for what only `run` needs. */
const COMMANDS: Readonly<Record<string, () => Promise<AddCommand>>> = {
  init: async () => (await import('./init.ts')).addInit,
  check: async () => (await import('./check.ts')).addCheck,
  weather: async () => (await import('./weather.ts')).addWeather,
  sand: async () => (await import('./sand.ts')).addSand,
  plan: async () => (await import('./plan.ts')).addPlanCommand,
  review: async () => (await import('./review.ts')).addReview,
  show: async () => (await import('./show.ts')).addShow,
  confirm: async () => (await import('./confirm.ts')).addConfirm,
  stage: async () => (await import('./stage.ts')).addStage,
  look: async () => (await import('./look.ts')).addLookCommand,
  seed: async () => (await import('./seed.ts')).addSeed,
  hold: async () => (await import('./hold.ts')).addHoldCommand,
  'keep-off': async () => (await import('./keep-off.ts')).addKeepOffCommand,
  pin: async () => (await import('./pin.ts')).addPin,
  log: async () => (await import('./log.ts')).addLog,
  report: async () => (await import('./report.ts')).addReport,
  'hand-over': async () => (await import('./hand-over.ts')).addHandOver,
  correct: async () => (await import('./correct.ts')).addCorrect,
  ran: async () => (await import('./ran.ts')).addRan,
  status: async () => (await import('./status.ts')).addStatus,
  backup: async () => (await import('./backup.ts')).addBackup,
  replay: async () => (await import('./replay.ts')).addReplay,
  prospect: async () => (await import('./prospect.ts')).addProspect,
  run: async () => (await import('./run.ts')).addRun,
};

/** Adds the commands whose options and help come from what they do; of those named alone, if any is. */
async function addActionCommands(
  program: Command,
  shell: Shell,
  args: readonly string[],
): Promise<void> {
  const { ACTIONS } = await import('../../actions/list.ts');
  const { addActionCommand } = await import('./act-command.ts');
  const names = [...new Set(ACTIONS.flatMap(({ command }) => (command === null ? [] : [command])))];
  const open = names.filter((name) => COMMANDS[name] === undefined);
  const named = open.filter((name) => args.includes(name));
  for (const name of named.length > 0 ? named : open) addActionCommand(program, shell, name);
}

/**
 * Runs the command line and gives its exit code: 0 well, 1 a fault, 2 wrong config or usage.
 * @param args Arguments after the program's name.
 */
export async function runCli(args: readonly string[], shell: Shell): Promise<0 | 1 | 2> {
  const program = new Command('dewbeat')
    .description(
      'Plans short, offbeat watering for newly seeded sand greens; sends nothing unconfirmed.',
    )
    .version(VERSION, '--version', 'tells the version')
    .option('-c, --config <file>', `config file (default: ${DEFAULT_CONFIG}, or the embedded demo)`)
    .configureOutput({
      writeOut: (text) => shell.out(text.trimEnd()),
      writeErr: (text) => shell.err(text.trimEnd()),
    })
    .exitOverride()
    .showSuggestionAfterError();
  const named = Object.keys(COMMANDS).filter((name) => args.includes(name));
  for (const name of named.length > 0 ? named : Object.keys(COMMANDS)) {
    const add = await COMMANDS[name]?.();
    add?.(program, shell);
  }
  if (named.length === 0) await addActionCommands(program, shell, args);
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
    const plain = isPlainFault(error) ? error.message : storeRefusal(error);
    if (plain !== null) {
      shell.err(plain);
      return 1;
    }
    shell.err(error instanceof Error ? (error.stack ?? error.message) : String(error));
    return 1;
  }
}

/** Faults whose message already says where, what and what to do. */
function isPlainFault(error: unknown): error is Error {
  return error instanceof WeatherUnreadable || error instanceof NoWeather;
}
