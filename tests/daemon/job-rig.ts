import pino from 'pino';
import type { Output } from '../../adapters/contract.ts';
import type { JobParts } from '../../daemon/service/jobs/job.ts';
import { loadConfigText } from '../../daemon/site/config/load.ts';
import { openWeather } from '../../daemon/site/config/open-weather.ts';
import { problemText } from '../../daemon/site/config/problems.ts';
import { confirmPlan } from '../../daemon/site/gate/gate.ts';
import { siteInUseOf, useSite } from '../../daemon/site/gate/site-changes.ts';
import { cautionsFor } from '../../daemon/site/gate/valid-confirm.ts';
import { type AuditKind, lastAuditEntries } from '../../daemon/site/store/audit-log.ts';
import { addFieldReport } from '../../daemon/site/store/field-reports.ts';
import { addAttempt } from '../../daemon/site/store/outbox.ts';
import type { StoredPlan } from '../../daemon/site/store/plans.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE } from '../example-plan.ts';
import { scratchDatabase, scratchFolder } from '../scratch-site.ts';

const MIN_MS = 60_000;

/** The invented site of the example plan, with an invented July. */
const LINES = [
  `site: { id: example-site, name: Example Site (invented), latitude: 40, longitude: -120, elevation: 30 m, zone: ${EXAMPLE_ZONE} }`,
  'weather: { source: outlook, wind_height: 10 m, usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }, { month: 11, high: 12 °C, low: 4 °C, wind: 3 m/s, rain: 0 mm }, { month: 3, high: 14 °C, low: 5 °C, wind: 3 m/s, rain: 0 mm }] }',
  'outputs: [{ output: file, folder: out }]',
  'supply: { pump_flow: 900 L/min }',
  'sands: { pit: { capacity: 1.5 mm } }',
  'beds:',
  ...[1, 2, 3].map(
    (bed) =>
      `  - { id: bed-${bed}, name: Bed ${bed}, area: 450 m², sand: pit, water_before_seeding: true }`,
  ),
  'stations:',
  ...['1a', '1b', '2a', '3a', '3b'].map(
    (id) =>
      `  - { id: s-${id}, bed: bed-${id[0]}, flow: 100 L/min, rate: { stated: 18 mm/h }, rotation: 120 s }`,
  ),
];

/** A site with a fresh memory and a clock that the test sets, for jobs by themselves. */
export function jobRig(given: { more?: string[]; startMs?: number } = {}) {
  const folder = scratchFolder();
  const text = [...LINES, `data_folder: ${folder}`, ...(given.more ?? [])].join('\n');
  const loaded = loadConfigText(text, { file: 'site.yaml', baseFolder: folder });
  if (!loaded.ok) throw new Error(loaded.problems.map(problemText).join('\n'));
  const { config } = loaded;
  const db = scratchDatabase();
  useSite(db, config);
  const startMs = given.startMs ?? EXAMPLE_MADE_AT_MS;
  let nowMs = startMs;
  const parts: JobParts = {
    config,
    db,
    weather: openWeather(config),
    log: pino({ level: 'silent' }),
    now: () => nowMs,
    outputs: new Map<string, Output>(),
  };
  return {
    config,
    db,
    parts,
    folder,
    /** So many minutes after the start. */
    at: (minutes: number) => startMs + minutes * MIN_MS,
    goTo: (minutes: number) => {
      nowMs = startMs + minutes * MIN_MS;
    },
    setMs: (instantMs: number) => {
      nowMs = instantMs;
    },
    /** Confirms the newest plan; `sentMin` is when the output took it, left out: at once. */
    confirm(
      stored: StoredPlan,
      sentMs: number | null = nowMs,
      leewayBedIds: string[] | null = null,
    ): string {
      const result = confirmPlan(
        { db, clock: config.clock, site: siteInUseOf(config), outputs: ['file'], nowMs },
        {
          revision: stored.plan.revision,
          digest: stored.digest,
          who: 'A. Keeper (invented)',
          cautions: cautionsFor(stored.plan).map((caution) => caution.code),
          leewayBedIds,
        },
      );
      if (!result.ok) throw new Error(result.refusal.code);
      if (sentMs !== null) {
        const attempt = { orderId: result.orderId, output: 'file', atMs: sentMs, detail: '' };
        addAttempt(db, { ...attempt, answer: 'accepted' });
      }
      return result.orderId;
    },
    /** A run reported by the output `file`, which no real file output does. */
    report(stationId: string, run: { startMs: number; runS: number; flowLPerMin?: number }) {
      const { startMs, runS, flowLPerMin = null } = run;
      const kind = 'ran' as const;
      addFieldReport(
        db,
        { kind, output: 'file', stationId, startMs, runS, flowLPerMin, atMs: nowMs },
        nowMs,
      );
    },
    steps: (kind: AuditKind) => lastAuditEntries(db, 500).filter((step) => step.kind === kind),
  };
}
