import type { SiteRecord } from './site-record.ts';

/** What in a record is no measurement, one plain line each. Pure. */
export function estimateLines(record: SiteRecord): string[] {
  const { runs, days, site, hand, drying } = record;
  const assumed = runs.filter((run) => run.basis === 'assumed').length;
  const unmeasured = site.stations.filter((station) => !station.rateMeasured);
  const standIn = days.filter(({ weather }) => {
    const by = weather?.hoursByOrigin;
    return by !== undefined && by.carried + by.usual > 0;
  }).length;
  const unmeasuredDays = days.filter(({ weather }) => weather?.hoursByOrigin.observed === 0).length;
  const sand = site.beds.filter((bed) => bed.sand.basis === 'class_default').length;
  const expected = drying.filter(({ from }) => from === 'expected').length;
  return [
    'Loss, drained water, drift and the state of the seedbeds are of a model; nothing measures them.',
    'Volumes of single runs are the flow in the config times the time; only the meter measures volume.',
    assumed === 0
      ? 'Every run that counts was reported by a receiver or put right by a person.'
      : `${assumed} of ${runs.length} runs are assumed to have run as planned: nothing reported them.`,
    unmeasured.length === 0
      ? 'The rate of every station was measured on the site.'
      : `The rate of ${unmeasured.length} of ${site.stations.length} stations was not measured on the site.`,
    ...(sand === 0
      ? []
      : [`The sand of ${sand} of ${site.beds.length} beds is that of a class, not of a report.`]),
    `${unmeasuredDays} of ${days.length} days have no measured hour of weather; on ${standIn} an earlier or a usual day stood in for hours.`,
    ...(hand.some((one) => one.stationId === null)
      ? ['Depths by hose are as persons judged them.']
      : []),
    ...(expected === 0
      ? []
      : [
          `${expected} of ${drying.length} drying events are expected by the model and were seen by nobody.`,
        ]),
  ];
}
