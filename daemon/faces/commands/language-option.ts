import { Option } from 'commander';
import { LANGUAGES } from '../../../adapters/contract.ts';

/** `--language en|es` of a command that writes something for persons to read. */
export function languageOption(description: string): Option {
  return new Option('--language <language>', description).choices(LANGUAGES).default('en');
}
