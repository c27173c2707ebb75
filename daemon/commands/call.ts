import type { Command } from 'commander';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';
import { changesNothing, DAY_CALL_BOUNDS, type DayCall, NO_CALL } from '../../calc/sky/day-call.ts';
import { callDay as callDayAct } from '../actions/call-day.ts';
import { dayCallsOf } from '../store/day-calls.ts';
import { readerOf } from '../words/reader.ts';
import { sayDayCall } from '../words/say-day-call.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface CallOptions extends ActionOptions {
  hotter?: string;
  windier?: string;
  cloudier?: string;
  clear?: true;
  who?: string;
}

/** `dewbeat call`: a person's correction of today's forecast, and the plan that follows from it. */
export function addCall(program: Command, shell: Shell): void {
  withActionOptions(program.command('call'))
    .description('correct today’s forecast (hotter, windier, cloudier) and plan anew, held')
    .option('--hotter <difference>', 'warmer by so much, such as 3 °C or 5 °F; negative: cooler')
    .option('--windier <factor>', 'wind times this, such as 1.5; below 1: calmer')
    .option('--cloudier <percent>', 'so much less sun, such as 20; negative: more sun')
    .option('--clear', 'take today’s call back')
    .option('--who <name>', 'who makes the call')
    .addHelpText(
      'after',
      '\nA call holds from now to the end of the site day and stands in place of an earlier one. Hours that were observed are never changed.\n\nExamples:\n  $ dewbeat call --hotter 3 --windier 1.5 --cloudier 20 --who "A. Keeper"\n  $ dewbeat call --hotter -2 --who "A. Keeper" --preview\n  $ dewbeat call --clear --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<CallOptions>();
      await withSite(options, shell, (session) => callDay(session, options, shell));
    });
}

async function callDay(session: SiteSession, options: CallOptions, shell: Shell): Promise<void> {
  const { db, config } = session;
  const { clock, units } = config;
  const nowMs = shell.nowMs();
  const siteDay = clock.siteDayOf(nowMs);
  const call = callOf(options, units);
  if (call === null) {
    const standing = dayCallsOf(db, siteDay).at(-1);
    shell.out(
      standing === undefined || changesNothing(standing)
        ? 'No call stands for today.'
        : `Day call by ${standing.who} at ${clock.timeOf(standing.atMs)}: ${sayDayCall(standing, readerOf(config))}.`,
    );
    return;
  }
  const who = requiredText('--who', options.who, 'give your name');
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () => callDayAct({ db, config, nowMs }, { ...call, who }),
  });
}

/** The call that the options make, or null when they make none. */
function callOf(options: CallOptions, units: DisplayUnits): Omit<DayCall, 'atMs'> | null {
  const { hotter, windier, cloudier, clear } = options;
  const makes = [hotter, windier, cloudier].some((text) => text !== undefined);
  if (clear === true && makes) {
    throw new CommandFailure(2, '--clear: stands beside a call; give one of them');
  }
  if (clear === true) return NO_CALL;
  if (!makes) {
    if (options.who === undefined && options.preview === undefined) return null;
    throw new CommandFailure(2, 'call: says nothing; give --hotter, --windier or --cloudier');
  }
  return {
    hotterK: hotter === undefined ? 0 : differenceOf(hotter, units),
    windFraction:
      windier === undefined ? 1 : numberOf('--windier', windier, DAY_CALL_BOUNDS.windFraction),
    cloudierFraction:
      cloudier === undefined
        ? 0
        : numberOf('--cloudier', cloudier.replace(/\s*%$/, ''), { atLeast: -100, atMost: 100 }) /
          100,
  };
}

/** A bare number is in the person's own degrees. */
function differenceOf(text: string, units: DisplayUnits): number {
  const bare = /^\s*[+-]?(\d+\.?\d*|\.\d+)\s*$/.test(text);
  const { atLeast, atMost } = DAY_CALL_BOUNDS.hotterK;
  const reading = readQuantity(
    bare ? `${text.trim()} ${units === 'us' ? '°F' : '°C'}` : text,
    'temperature_difference',
    { min: atLeast, max: atMost },
  );
  if (!reading.ok) throw new CommandFailure(2, `--hotter: ${reading.message}`);
  return reading.value;
}

function numberOf(
  option: string,
  text: string,
  { atLeast, atMost }: { atLeast: number; atMost: number },
): number {
  const value = text.trim() === '' ? Number.NaN : Number(text.trim());
  if (!(value >= atLeast && value <= atMost)) {
    throw new CommandFailure(2, `${option}: must be ${atLeast} to ${atMost} (got ${text})`);
  }
  return value;
}
