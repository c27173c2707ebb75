import { Command, CommanderError } from 'commander';
import { VERSION } from '../../version.ts';
import { sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { DEFAULT_CONFIG } from './config-option.ts';
import { CommandFailure, type Shell } from './shell.ts';

type AddCommand = (program: Command, shell: Shell) => void;

/** Every command, loaded when it is asked for: `show` must not wait for what only `run` needs. */
export const COMMANDS: Readonly<Record<string, () => Promise<AddCommand>>> = {
  init: async () => (await import('./init.ts')).addInit,
  check: async () => (await import('./check.ts')).addCheck,
  weather: async () => (await import('./weather.ts')).addWeather,
  sand: async () => (await import('./sand.ts')).addSand,
  plan: async () => (await import('./plan.ts')).addPlanCommand,
  review: async () => (await import('./review.ts')).addReview,
  show: async () => (await import('./show.ts')).addShow,
  confirm: async () => (await import('./confirm.ts')).addConfirm,
  'stop-water': async () => (await import('./stop-water.ts')).addStopWater,
  release: async () => (await import('./release.ts')).addRelease,
  stage: async () => (await import('./stage.ts')).addStage,
  look: async () => (await import('./look.ts')).addLookCommand,
  'keep-off': async () => (await import('./keep-off.ts')).addKeepOffCommand,
  call: () => action('call'),
  trim: () => action('trim'),
  rotation: () => action('rotation'),
  water: () => action('water'),
  wind: () => action('wind'),
  seed: async () => (await import('./seed.ts')).addSeed,
  feed: () => action('feed'),
  meter: () => action('meter'),
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

/** Names that commands had before; a hand that knows them finds what it looks for. */
const EARLIER_NAMES: Readonly<Record<string, string>> = { 'stop-water': 'hold' };

/** A command whose options and help come from what it does. */
async function action(name: string): Promise<AddCommand> {
  const { addActionCommand } = await import('./act-command.ts');
  return (program, shell) => addActionCommand(program, shell, name);
}

/**
 * Runs the command line and gives its exit code: 0 well, 1 a fault, 2 wrong config or usage.
 * @param args Arguments after the program's name.
 */
export async function runCli(args: readonly string[], shell: Shell): Promise<0 | 1 | 2> {
  const config = say('option.config', { file: DEFAULT_CONFIG });
  const program = new Command('dewbeat')
    .description(say('program.does'))
    .version(VERSION, '--version', say('program.version'))
    .option('-c, --config <file>', config)
    .configureOutput({
      writeOut: (text) => shell.out(text.trimEnd()),
      writeErr: (text) => shell.err(text.trimEnd()),
    })
    .exitOverride()
    .showSuggestionAfterError();
  await addCommands(program, shell, args);
  for (const command of program.commands) {
    command.option('-c, --config <file>', config).copyInheritedSettings(program);
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
    const { plainFault } = await import('./plain-fault.ts');
    const plain = plainFault(error);
    if (plain !== null) {
      shell.err(plain);
      return 1;
    }
    shell.err(error instanceof Error ? (error.stack ?? error.message) : String(error));
    return 1;
  }
}

/** The commands that may be meant; where none is, all of them by name, as a help lists them. */
async function addCommands(program: Command, shell: Shell, args: readonly string[]): Promise<void> {
  const names = Object.keys(COMMANDS);
  const named = names.filter(
    (name) => args.includes(name) || args.includes(EARLIER_NAMES[name] ?? name),
  );
  if (named.length > 0 && !named.includes('run')) await import('./schemas-once.ts');
  for (const name of named) (await COMMANDS[name]?.())?.(program, shell);
  if (named.length > 0) return;
  for (const name of names) program.command(name).description(whatItDoes(name));
}
