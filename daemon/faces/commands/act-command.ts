import { type Command, Option } from 'commander';
import type { ActionContext } from '../../actions/action-context.ts';
import { bedIdOf } from '../../actions/bed-names.ts';
import { type Field, fieldsOf } from '../../actions/fields.ts';
import { ACTIONS, actionOf } from '../../actions/list.ts';
import { readField } from '../../actions/read-text.ts';
import type { ActionSpec } from '../../actions/spec.ts';
import { helpWith, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { sayIn, sayNamed } from '../../words/language.ts';
import { shownUnit } from '../../words/number-unit.ts';
import { readerOf } from '../../words/plan-words.ts';
import { sayTold } from '../../words/told.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { asOption } from './given-options.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

type Options = ActionOptions & { who?: string } & Record<string, unknown>;

/** More than the fields tell: what a command shows alone, and what else it does after an action. */
export interface CommandExtras {
  /** The plan is all that the action makes, so that `--no-plan` would leave nothing of it. */
  isPlanItself?: true;
  /** In place of what stands; `bed` as it was given. */
  alone?(session: SiteSession, asked: { bed: string | undefined; nowMs: number }): Promise<string>;
  alsoSay?(
    request: Record<string, unknown>,
    given: { context: ActionContext; options: ActionOptions; who: string },
  ): readonly string[];
}

/** Adds a command that does the actions which name it: its options, help and examples come from their fields. */
export function addActionCommand(
  program: Command,
  shell: Shell,
  name: string,
  extras: CommandExtras = {},
): void {
  const specs = ACTIONS.filter((spec) => spec.command === name);
  const command = program.command(name).description(whatItDoes(name));
  for (const spec of specs) addOptions(command, spec);
  command.option('--who <name>', say('option.who'));
  if (specs.some((spec) => spec.isPlanned))
    withActionOptions(command, extras.isPlanItself === true);
  command.addHelpText('after', helpText(name, specs)).action(async (_, self: Command) => {
    const options = self.optsWithGlobals<Options>();
    await withSite(options, shell, (session) =>
      act(session, { name, specs, options, shell, extras }),
    );
  });
}

interface Asked {
  name: string;
  specs: readonly ActionSpec[];
  options: Options;
  shell: Shell;
  extras: CommandExtras;
}

async function act(session: SiteSession, asked: Asked): Promise<void> {
  const { name, options, shell, extras } = asked;
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  const spec = specOf(asked);
  const given = givenOptions(spec, options);
  refuseStrangers(asked, spec);
  const bed = firstOf(options['bed']);
  // A command that has something to show for one bed may be given that bed alone.
  const isAlone = given.every((option) => option === 'bed' && extras.alone !== undefined);
  if (isAlone && (extras.alone !== undefined || spec.standing !== undefined)) {
    if (extras.alone !== undefined) shell.out(await extras.alone(session, { bed, nowMs }));
    const reader = readerOf(session.config);
    for (const told of spec.standing?.(context) ?? []) shell.out(sayTold(told, reader));
    return;
  }
  const request = requestOf(spec, { options, session, nowMs, name });
  const who = (options.who ?? '').trim();
  if (who === '') throw new CommandFailure(2, `--who: ${message('refused.who')}`);
  await doAction(session, shell, {
    options,
    nowMs,
    isPlanned: spec.isPlanned,
    actionOf: () => actionOf(context, request, who),
    alsoSay: () => extras.alsoSay?.(request, { context, options, who }) ?? [],
  });
}

/** Of several actions under one command the one whose own option was given; else the first. */
function specOf({ specs, options }: Asked): ActionSpec {
  const opened = specs.find(
    ({ opens }) => opens !== undefined && options[camel(opens)] !== undefined,
  );
  const [first] = specs;
  const spec = opened ?? first;
  if (spec === undefined) throw new CommandFailure(1, 'action: none is known');
  return spec;
}

function optionsOf(field: Field): string[] {
  const also = field.kind === 'number' ? field.also?.option : undefined;
  return also === undefined ? [field.option] : [field.option, also];
}

/** What was written for a field, by either of its options. */
function textOf(field: Field, options: Options): unknown {
  const text = options[camel(field.option)];
  const also = field.kind === 'number' ? field.also : undefined;
  const other = also === undefined ? undefined : options[camel(also.option)];
  if (also === undefined || other === undefined) return text;
  if (text === undefined) return `${other} ${also.unit}`;
  const [one, two] = [`--${field.option}`, `--${also.option}`];
  throw new CommandFailure(2, `${one}: ${message('refused.beside', { other: two })}`);
}

/** An option of another action of the command goes with that one alone. */
function refuseStrangers({ specs, options }: Asked, spec: ActionSpec): void {
  const own = new Set(givenOptions(spec, options));
  for (const other of specs) {
    const [stranger] = givenOptions(other, options).filter((option) => !own.has(option));
    if (stranger === undefined || other.opens === undefined) continue;
    const opens = `--${other.opens}`;
    throw new CommandFailure(2, `--${stranger}: ${message('refused.goes_with', { opens })}`);
  }
}

/** Options of an action, and those of every one, that were given. */
function givenOptions(spec: ActionSpec, options: Options): string[] {
  const own = [
    ...fieldsOf(spec.schema).flatMap(({ field }) => optionsOf(field)),
    ...(spec.presets ?? []).map(({ option }) => option),
    'who',
    'preview',
  ];
  return own.filter((option) => options[camel(option)] !== undefined);
}

function requestOf(
  spec: ActionSpec,
  given: { options: Options; session: SiteSession; nowMs: number; name: string },
): { kind: string; [key: string]: unknown } {
  const { options, session, nowMs, name } = given;
  const { clock, units, site } = session.config;
  const preset = spec.presets?.find(({ option }) => options[camel(option)] !== undefined);
  const request: { kind: string; [key: string]: unknown } = { kind: spec.kind, ...preset?.values };
  for (const { key, field } of fieldsOf(spec.schema)) {
    const text = textOf(field, options);
    if (text === undefined) {
      if (field.kind === 'text' && field.isNeeded && request[key] === undefined) request[key] = '';
      if (field.kind === 'beds') request[key] = [];
      continue;
    }
    if (preset !== undefined && key in preset.values && key !== 'why') {
      const [one, other] = [`--${preset.option}`, `--${field.option}`];
      throw new CommandFailure(2, `${one}: ${message('refused.beside', { other })}`);
    }
    request[key] = asOption(() =>
      field.kind === 'beds'
        ? bedsOf(field.hasAll, text as string[], site.beds)
        : field.kind === 'flag'
          ? true
          : field.kind === 'bed'
            ? bedIdOf(String(text), site.beds)
            : readField(field, String(text), { clock, units, nowMs, needsUnit: true }),
    );
  }
  const hasAny = givenOptions(spec, options).some((one) => one !== 'who' && one !== 'preview');
  if (!hasAny)
    throw new CommandFailure(
      2,
      `${name}: ${message('refused.says_nothing', { options: optionList(spec) })}`,
    );
  return request;
}

function bedsOf(
  hasAll: boolean,
  named: string[],
  beds: readonly { id: string; name: string }[],
): 'all' | string[] {
  const isAll = hasAll && named.length === 1 && named[0] === 'all';
  if (isAll && !beds.some((bed) => bed.id === 'all')) return 'all';
  return named.map((one) => bedIdOf(one, beds));
}

function addOptions(command: Command, spec: ActionSpec): void {
  const known = new Set(command.options.map((option) => option.long));
  const add = (option: Option) => {
    if (!known.has(option.long)) command.addOption(option);
  };
  for (const { key, field } of fieldsOf(spec.schema)) {
    add(new Option(`--${field.option}${placeholder(field)}`, describe(spec.kind, key, field)));
  }
  for (const { key, field } of fieldsOf(spec.schema)) {
    if (field.kind !== 'number' || field.also === undefined) continue;
    const { option, unit } = field.also;
    add(new Option(`--${option} <${unit}>`, message(`field.${spec.kind}.${key}`)));
  }
  for (const { option } of spec.presets ?? []) {
    add(new Option(`--${option}`, message(`field.${spec.kind}.${option}`)));
  }
}

function placeholder(field: Field): string {
  switch (field.kind) {
    case 'flag':
      return '';
    case 'beds':
      return ' <ids...>';
    case 'bed':
      return ' <id>';
    case 'time':
      return ' <time>';
    case 'text':
      return ' <text>';
    case 'choice':
      return field.choices.length === 0 ? ' <id>' : ' <name>';
    case 'number':
      return ' <number>';
  }
}

/** "Dose: of what is worked out; 25 to 300 %". */
function describe(kind: string, key: string, field: Field): string {
  const name = `field.${kind}.${key}`;
  const parts = [message(`${name}.hint`)];
  if (field.kind === 'number') {
    const { perUnit, unit } = shownUnit(field.unit, 'metric');
    const bound = (value: number) => String(Number((value * perUnit).toFixed(2)));
    if (field.atMost < 1e9)
      parts.push(`${bound(field.atLeast)} to ${bound(field.atMost)} ${unit}`.trim());
  }
  if (field.kind === 'time') parts.push(say('option.time'));
  if (field.kind === 'choice' && field.choices.length > 0) {
    parts.push(field.choices.map(({ typed }) => typed).join(', '));
  }
  const rest = parts.filter((part) => part !== '').join('; ');
  return `${message(name)}${rest === '' ? '' : `: ${rest}`}`;
}

/** What the help says after the options: how it is meant, and examples from the fields. */
function helpText(name: string, specs: readonly ActionSpec[]): string {
  const examples = specs.flatMap((spec) => {
    const fields = fieldsOf(spec.schema).map(({ field }) => field);
    const shown = fields.filter(({ example }) => example !== undefined);
    const first = [name, ...shown.map((field) => optionText(field.option, field.example ?? ''))];
    const who = '--who "A. Keeper"';
    const beds = fields.filter(({ kind }) => kind === 'bed' || kind === 'beds');
    const whose = beds.map((field) => optionText(field.option, field.example?.split(' ')[0] ?? ''));
    const presets = (spec.presets ?? []).map(({ option, values }) => {
      const needed = fields.filter(
        (field) => field.kind === 'text' && field.isNeeded && !('why' in values),
      );
      const texts = needed.map((field) => optionText(field.option, field.example ?? ''));
      return [name, ...whose, `--${option}`, ...texts, who];
    });
    // As a person does it: looked at first, then kept.
    return [...(spec.isPlanned ? [[...first, who, '--preview']] : []), [...first, who], ...presets];
  });
  return helpWith(
    name,
    examples.map((words) => words.join(' ')),
  );
}

function optionText(option: string, example: string): string {
  // Ids stand bare, one or several; texts with blanks in quotes.
  const isQuoted = option !== 'bed' && /\s/.test(example);
  return `--${option} ${isQuoted ? JSON.stringify(example) : example}`;
}

function optionList(spec: ActionSpec): string {
  return fieldsOf(spec.schema)
    .map(({ field }) => `--${field.option}`)
    .join(', ');
}

function message(key: string, values: Record<string, string> = {}): string {
  return sayNamed(sayIn('en'), key, values) ?? '';
}

function firstOf(value: unknown): string | undefined {
  return Array.isArray(value) ? value[0] : (value as string | undefined);
}

/** "label-interval" as the options hold it. */
function camel(option: string): string {
  return option.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
}
