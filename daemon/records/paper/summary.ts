import type { SiteRecord } from '../site-record.ts';
import { measured, roundedText } from '../tables/record-table.ts';
import { rateEstimate, type TableContext } from '../tables/table-context.ts';
import { waterSums } from '../water-sums.ts';
import { plotDays } from './plot-days.ts';

/** The few figures that stand first, and what has to be said of them. */
export function summaryOf(context: TableContext): {
  figures: { what: string; value: string; note: string }[];
  lines: string[];
} {
  const { record, measures, clock } = context;
  const { depth, volume } = measures;
  const days = plotDays(context);
  const total = (pick: (day: (typeof days)[number]) => number | null) =>
    days.reduce((sum, day) => sum + (pick(day) ?? 0), 0);
  const lossMm = total((day) => day.lossMm);
  const sprinklersMm = total((day) => day.knownMm + day.assumedMm);
  const handMm = total((day) => day.handMm);
  const rainMm = total((day) => day.rainMm);
  const sums = waterSums(record.runs, record.hand, { ofRun: () => 0, ofHand: () => 0 });
  const say = (mm: number) => `≈ ${roundedText(measured(mm, depth))} ${depth.unit}`;
  const sayL = (litres: number) => `≈ ${roundedText(measured(litres, volume))} ${volume.unit}`;
  const share = lossMm > 0 ? `${Math.round((100 * (sprinklersMm + handMm)) / lossMm)} %` : 'no';
  const assumedPct = sums.volumeL > 0 ? Math.round((100 * sums.assumedL) / sums.volumeL) : 0;
  const seen = record.drying.filter(({ from }) => from === 'seen').length;
  const count = (kind: string) => record.events.filter((one) => one.kind === kind).length;
  const today = clock.siteDayOf(record.madeAtMs);
  const rate = rateEstimate(record.site, record.runs);
  return {
    figures: [
      { what: 'Loss, mean over the beds', value: say(lossMm), note: 'by the model' },
      {
        what: 'Water that reached the ground',
        value: say(sprinklersMm + handMm),
        note: `${share} of the loss; rain ${say(rainMm)} besides`,
      },
      {
        what: 'Volume through the sprinklers',
        value: sayL(sums.volumeL),
        note: sums.runs === 0 ? 'no runs' : `${assumedPct} % of it assumed to have run`,
      },
      { what: 'By hand', value: sayL(sums.handL), note: `logged ${times(record.hand.length)}` },
      {
        what: 'Drying events',
        value: String(record.drying.length),
        note: `${seen} seen, ${record.drying.length - seen} expected by the model`,
      },
      {
        what: 'Holds, keep-offs',
        value: `${count('hold')}, ${count('keep_off')}`,
        note: `${count('confirmed_despite')} warnings confirmed despite`,
      },
    ],
    lines: [
      ...(assumedPct > 0
        ? [
            `Nothing reported ${sums.assumedRuns} of ${sums.runs} runs: they are assumed to have run as planned. A water meter or a receiver that reports would show it.`,
          ]
        : []),
      ...notRunLines(record),
      ...(rate === null
        ? []
        : [`Depths rest on rates: ${rate}. A catch-can test of each station would settle them.`]),
      ...(record.corrections.length > 0
        ? [`Corrections worked in: ${record.corrections.length}; both values stand in their table.`]
        : []),
      ...(record.days.some(({ plans }) => plans === 0)
        ? [
            `No plan was made on ${record.days.filter(({ plans }) => plans === 0).length} of ${record.days.length} days.`,
          ]
        : []),
      ...(record.days.some(({ siteDay }) => siteDay === today)
        ? [
            `Today, ${today}, is not over: its loss is of the whole day, its water of what has run so far.`,
          ]
        : []),
    ],
  };
}

function times(count: number): string {
  return count === 1 ? 'once' : `${count} times`;
}

const NOT_RUN: Readonly<Record<string, string>> = {
  missed: 'whose time had passed before they were confirmed or sent',
  withdrawn: 'withdrawn by a hold',
  missing: 'that the receiver did not report',
  rejected: 'refused by an output',
};

/** Runs that persons let out and that brought no water, by what became of them. */
function notRunLines({ runs }: SiteRecord): string[] {
  const none = runs.filter((run) => run.confirmedS > 0 && run.countedS === 0);
  if (none.length === 0) return [];
  const parts = Object.entries(NOT_RUN).flatMap(([state, words]) => {
    const count = none.filter((run) => run.corrected === null && run.state === state).length;
    return count === 0 ? [] : [`${count} ${words}`];
  });
  const corrected = none.filter((run) => run.corrected !== null).length;
  if (corrected > 0) parts.push(`${corrected} put right by a person`);
  return [`Of ${runs.length} runs ${none.length} brought no water: ${parts.join(', ')}.`];
}
