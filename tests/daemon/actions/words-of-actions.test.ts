import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { fieldsOf } from '../../../daemon/actions/fields.ts';
import { ACTIONS, actionRequest } from '../../../daemon/actions/list.ts';
import { COMMANDS } from '../../../daemon/faces/commands/cli.ts';
import { whatItDoes } from '../../../daemon/words/command-line.ts';
import { EN } from '../../../daemon/words/en.ts';
import { isMessage } from '../../../daemon/words/language.ts';

const FOLDER = fileURLToPath(new URL('../../../daemon/actions/', import.meta.url));
const SOURCE = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.ts'))
  .map((name) => readFileSync(join(FOLDER, name), 'utf8'))
  .join('\n');

const missing = (keys: readonly string[]) => keys.filter((key) => !isMessage(key));

describe('what a person can do', () => {
  it('is named, and told when it is the right thing, where it stands in the list', () => {
    expect(missing(ACTIONS.map(({ kind }) => `act.${kind}`))).toEqual([]);
    const listed = ACTIONS.filter(({ isListed }) => isListed);
    expect(listed.length).toBeGreaterThan(8);
    expect(missing(listed.map(({ kind }) => `act.${kind}.for`))).toEqual([]);
    expect(missing(ACTIONS.map(({ kind }) => `act.${kind}.intro`))).toEqual([]);
  });

  it('has a label for each of its fields, words for a flag, and for what stands for several', () => {
    const keys = ACTIONS.flatMap(({ kind, schema, presets = [] }) => [
      ...fieldsOf(schema).flatMap(({ key, field }) => {
        const name = `field.${kind}.${key}`;
        return field.kind === 'flag' ? [name, `${name}.no`, `${name}.yes`] : [name];
      }),
      ...presets.map(({ option }) => `field.${kind}.${option}`),
    ]);
    // Where there are only stops to choose from, the form that is not shown has no label.
    expect(missing(keys)).toEqual([]);
  });

  it('can be asked for by every kind of it', () => {
    const kinds = actionRequest.options.map((option) => option.shape.kind.value);
    expect(kinds.toSorted()).toEqual(ACTIONS.map(({ kind }) => kind).toSorted());
  });

  it('has a command that is known, and each command says what it does', () => {
    const commands = ACTIONS.flatMap(({ command }) => (command === null ? [] : [command]));
    expect(commands.filter((name) => COMMANDS[name] === undefined)).toEqual([]);
    expect(Object.keys(COMMANDS).filter((name) => whatItDoes(name) === '')).toEqual([]);
  });

  it('has a message for every code that is told or refused with', () => {
    // What is put together of parts stands beside its parts.
    const told = [
      ...SOURCE.matchAll(/code: (?:\w+ [!=]== [^?]+\? )?'([a-z_]+)'(?: : '([a-z_]+)')?/g),
    ]
      .flatMap(([, one, other]) => [one, other])
      .filter((code) => code !== undefined)
      .filter((code) => code !== 'keep_off_standing' && code !== 'wind_asked');
    expect(told.length).toBeGreaterThan(20);
    const isSaid = (code: string) =>
      isMessage(`told.${code}`) ||
      isMessage(code) ||
      Object.keys(EN).some((key) => key.endsWith(`.${code}`));
    expect(told.filter((code) => !isSaid(code))).toEqual([]);
    const refused = [
      ...SOURCE.matchAll(/\brefuse\([^,()]+, '([a-z_]+)'/g),
      ...SOURCE.matchAll(/\bask: '([a-z_]+)'/g),
    ];
    expect(refused.length).toBeGreaterThan(20);
    expect(missing(refused.map(([, code]) => `refused.${code}`))).toEqual([]);
  });
});
