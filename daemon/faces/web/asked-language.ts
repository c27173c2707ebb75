import type { Language } from '../../../adapters/contract.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { languageNamed, type Say, sayIn } from '../../words/language.ts';
import { type Reader, readerOf } from '../../words/plan-words.ts';

/** The header by which the page says in which language it wants its answer. */
const LANGUAGE_HEADER = 'x-dewbeat-language';

interface Asking {
  headers: Readonly<Record<string, unknown>>;
}

/** The language that an answer is asked for in; English where none is. */
export function languageOf({ headers }: Asking): Language {
  return languageNamed(headers[LANGUAGE_HEADER]);
}

/** The messages for whoever asks from the page. */
export function sayToPage(asking: Asking): Say {
  return sayIn(languageOf(asking), 'page');
}

/** Whoever asks from the page, with the units and the clock of the site. */
export function pageReader(
  { clock, units }: Pick<LoadedConfig, 'clock' | 'units'>,
  asking: Asking,
): Reader {
  return readerOf({ clock, units, language: languageOf(asking), place: 'page' });
}
