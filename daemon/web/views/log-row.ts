import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Step } from '../../store/steps.ts';
import type { LogRow } from './bed-view.ts';

/** A step of the log for the page. */
export function logRow(step: Step, clock: SiteClock): LogRow {
  const { stepId, atMs, kind, who, siteDay, revision, what } = step;
  const at = clock.isoOf(atMs).slice(0, 16).replace('T', ' ');
  const about = revision === null ? '' : ` revision ${revision}`;
  const line = `${at} ${kind.replaceAll('_', ' ')}${about} by ${who}: ${what}`;
  return { stepId, atMs, kind, who, siteDay, revision, what, line };
}
