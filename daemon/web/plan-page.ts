import { type DisplayUnits, display } from '../../adapters/display-units.ts';
import { type NoticeText, noticeTexts } from '../../adapters/notice-text.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { PlanStanding } from '../gate/plan-standing.ts';
import type { StoredPlan } from '../store/plans.ts';
import { germinationLines } from '../words/germination-lines.ts';
import { confirmCommand } from '../words/next-command.ts';
import { BED_HEADING, bedRows, CYCLE_HEADING, cycleRows } from '../words/plan-rows.ts';
import { sayStanding } from '../words/standing.ts';
import { escapeHtml, htmlTable } from './html.ts';

/** The newest plan as a page: its standing first, then beds, cycles and warnings. */
export function planPage(input: {
  stored: StoredPlan | null;
  standing: PlanStanding | null;
  siteName: string;
  clock: SiteClock;
  units: DisplayUnits;
  nowMs: number;
}): string {
  const { stored, standing, siteName, clock, units, nowMs } = input;
  const body =
    stored === null || standing === null
      ? '<p class="standing held">There is no plan yet.</p>'
      : planBody(stored, standing, clock, units);
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(siteName)}: today’s water</title><link rel="stylesheet" href="/page.css"></head>
<body><h1>${escapeHtml(siteName)}</h1><p>It is ${clock.timeOf(nowMs)} at the site, ${clock.siteDayOf(nowMs)}.</p>
${body}</body></html>
`;
}

function planBody(
  stored: StoredPlan,
  standing: PlanStanding,
  clock: SiteClock,
  units: DisplayUnits,
): string {
  const { plan, digest } = stored;
  const show = display(units);
  const confirm =
    standing.kind === 'held'
      ? `<h2>Confirm it from the command line</h2><code>${escapeHtml(confirmCommand(stored, ''))}</code>`
      : '';
  const warnings = plan.warnings
    .map((warning) => `<li class="warning">${escapeHtml(warning.text)}</li>`)
    .join('');
  const notices = noticeTexts(plan, { clock, show }).map(noticeItem).join('');
  const germination = germinationLines(plan, clock)
    .map((line) => `<li>${escapeHtml(line)}</li>`)
    .join('');
  return `<p class="standing ${standing.kind}">${escapeHtml(sayStanding(standing, clock))}</p>
<p>${plan.siteDay}, revision ${plan.revision}, digest ${digest.slice(0, 8)}</p>
${warnings === '' ? '' : `<h2>Look at this first</h2><ul>${warnings}</ul>`}
<h2>Beds, first to dry first</h2>${htmlTable(BED_HEADING, bedRows(plan, clock, show))}
${germination === '' ? '' : `<ul>${germination}</ul>`}
<h2>Cycles</h2>${htmlTable(CYCLE_HEADING, cycleRows(plan, clock, show))}
${notices === '' ? '' : `<h2>Weather and water</h2><ul>${notices}</ul>`}
${confirm}`;
}

/** A notice with its rule and what the rule saw, so that a person can judge it. */
function noticeItem({ severity, title, text, rule, saw }: NoticeText): string {
  const lines = [text, `Rule: ${rule}`, ...saw.map((one) => `Saw: ${one}`)];
  return `<li class="notice ${severity}"><strong>${escapeHtml(`${severity}: ${title}`)}</strong><br>${lines
    .map(escapeHtml)
    .join('<br>')}</li>`;
}
