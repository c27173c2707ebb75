import type { WeatherProblem } from '../../../adapters/weather/source.ts';
import { sayAtCommandLine } from '../../words/command-line.ts';

/** What was wrong with weather that was read, and what was done about it. */
export function problemLine({ where, what, done, rule }: WeatherProblem): string {
  return rule === undefined
    ? sayAtCommandLine('reading.problem', { where, what, done })
    : sayAtCommandLine('reading.problem_by', { where, what, done, rule });
}
