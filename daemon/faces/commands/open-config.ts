import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { ConfigResult, LoadedConfig } from '../../site/config/config.ts';
import { openDemo } from '../../site/config/demo.ts';
import { loadConfig } from '../../site/config/load.ts';
import { problemText } from '../../site/config/problems.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './config-option.ts';
import { CommandFailure, type Shell } from './shell.ts';

/** A sound config, and whether it is the embedded demo. */
export interface OpenedConfig {
  config: LoadedConfig;
  demo: boolean;
}

/**
 * Reads the config that a command is to work with, sound or not. Without `--config` and without a
 * `./dewbeat.yaml` it is the embedded demo, so that a first start needs no file.
 */
export function readConfig(
  options: ConfigOption,
  shell: Pick<Shell, 'cwd' | 'nowMs'>,
): { result: ConfigResult; demo: boolean } {
  const path = options.config ?? DEFAULT_CONFIG;
  const demo = options.config === undefined && !existsSync(resolve(shell.cwd, path));
  const result = demo ? openDemo(shell.cwd, shell.nowMs()) : loadConfig(resolve(shell.cwd, path));
  return { result, demo };
}

/**
 * Reads the config that a command is to work with.
 *
 * @throws CommandFailure with every problem of the config, exit code 2.
 */
export function openConfig(options: ConfigOption, shell: Shell): OpenedConfig {
  const { result, demo } = readConfig(options, shell);
  if (!result.ok) {
    throw new CommandFailure(2, result.problems.map(problemText).join('\n'));
  }
  return { config: result.config, demo };
}
