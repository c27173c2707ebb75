import type { CardFacts, CardState, OutputContext, Paper } from '../../adapters/contract.ts';
import { display } from '../../adapters/display-units.ts';
import { shortDigest } from '../../adapters/plan-document.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedPlan, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { shortBand } from './dry-band-words.ts';
import { noticeTexts } from './notice-texts.ts';
import { shortStationId } from './plan-rows.ts';
import { bedName, type Reader, sayReason, sayTo, stageWords } from './plan-words.ts';
import { sayPlanRisk } from './risk-words.ts';
import { warningTexts } from './warning-words.ts';
import { saySpread } from './weather-words.ts';
import { sayWorthLooking } from './worth-looking-words.ts';

/** Cards and lists of runs in the words of a reader. */
export function paperFor(reader: Reader, zone: string): Paper {
  return {
    card: (facts) => planCard({ ...facts, reader, zone }),
    emptyCard: (given) => emptyCard(given, reader),
    reason: (reason) => sayReason(reason, reader),
  };
}

/** The same as outputs take it, in whichever language and units they ask for. */
export function paperOn(clock: SiteClock): OutputContext['paper'] {
  return (language, units) => paperFor({ language, clock, show: display(units) }, clock.zone);
}

/** What a card is written from. */
export interface PlanCard extends CardFacts {
  reader: Reader;
  /** IANA zone of the times on it. */
  zone: string;
}

const CYCLE_COLUMNS = [-5, -22, -18, 5, 3, 8, 3] as const;
const BED_COLUMNS = [-20, -11, 6, 8, 8, 6, 8] as const;

/** The day's cycles on paper: 80 columns of plain text, what matters first at five in the morning. */
export function planCard(card: PlanCard): string {
  return textOf([
    ...headLines(card),
    rule('-'),
    ...cycleLines(card),
    rule('-'),
    ...bedLines(card),
    ...warningLines(card),
    ...noticeLines(card),
    ...cautionLines(card.reader),
  ]);
}

/** The card of a day on which nothing may start. */
export function emptyCard(given: Parameters<Paper['emptyCard']>[0], reader: Reader): string {
  const { siteId, siteDay, who, why, atMs } = given;
  const say = sayTo(reader);
  return textOf([
    rule('='),
    leftRight(siteId, dayOf(siteDay, reader)),
    '',
    ...fold(say('card.no_water', { who, at: reader.clock.timeOf(atMs) })),
    ...fold(say('card.why', { why })),
    ...fold(say('card.until_confirmed')),
    ...cautionLines(reader),
  ]);
}

function textOf(lines: readonly string[]): string {
  return `${[...lines, rule('=')].join('\n')}\n`;
}

/** What everyone who holds the card must have read. */
const CAUTIONS = [
  'caution.sprinklers',
  'caution.lightning',
  'caution.wiring',
  'caution.injector',
  'caution.reclaimed',
  'caution.permits',
  'caution.frost',
  'caution.disease',
  'caution.last_word',
] as const;

function cautionLines(reader: Reader): string[] {
  const say = sayTo(reader);
  return [rule('-'), ...CAUTIONS.flatMap((key) => fold(say(key), '! ', '  '))];
}

function headLines({ plan, digest, state, change, reader, zone }: PlanCard): string[] {
  const { weather } = plan;
  const { clock, show } = reader;
  const say = sayTo(reader);
  const sun = (atMs: number | null) => (atMs === null ? say('card.no_sun') : clock.timeOf(atMs));
  return [
    rule('='),
    leftRight(plan.siteName, dayOf(plan.siteDay, reader)),
    leftRight(
      say('card.plan', { revision: plan.revision, digest: shortDigest(digest) }),
      say('card.times', { zone }),
    ),
    '',
    ...stateLines(state, plan, reader),
    ...(change === undefined
      ? []
      : fold(say('leeway.card', { number: change.number, at: reader.clock.timeOf(change.atMs) }))),
    '',
    leftRight(
      say('card.sun', { rise: sun(plan.sunriseMs), set: sun(plan.sunsetMs) }),
      say('card.last_start', { at: clock.timeOf(plan.endMs) }),
    ),
    ...fold(
      say('card.weather', {
        high: show.temp(weather.highC),
        low: show.temp(weather.lowC),
        source: weather.source,
      }),
    ),
    ...fold(
      say('card.wind', {
        wind: show.speed(weather.windMaxMPerS),
        rain: show.depth(weather.rainMm),
        et: show.depth(weather.referenceEtMm),
      }),
    ),
  ];
}

function stateLines(state: CardState, plan: DayPlan, reader: Reader): string[] {
  const say = sayTo(reader);
  if (state.kind === 'held') return fold(say('card.held'));
  const when = { who: state.who, at: reader.clock.timeOf(state.atMs) };
  const beds = state.heldBedIds.map((bedId) => bedName(plan, bedId)).join(', ');
  if (state.kind === 'partly_held') {
    const why = fold(say('card.why', { why: state.why }));
    return [...fold(say('card.partly_held', { ...when, beds })), ...why];
  }
  return fold(
    beds === '' ? say('card.confirmed', when) : say('card.confirmed_held', { ...when, beds }),
  );
}

function cycleLines({ plan, runs, missed = [], reader }: PlanCard): string[] {
  const { clock, show } = reader;
  const say = sayTo(reader);
  const missedStarts = startsOf(missed).map(
    ({ first }) => `${clock.timeOf(first.startMs)} ${bedName(plan, first.bedId)}`,
  );
  const missedLines =
    missedStarts.length === 0 ? [] : fold(say('card.missed', { starts: missedStarts.join(', ') }));
  if (runs.length === 0) return [say('card.no_cycles'), ...missedLines];
  return [
    ...columns(CYCLE_COLUMNS, [
      say('card.column.start'),
      say('card.column.bed'),
      say('card.column.stations'),
      say('card.column.minutes'),
      say('card.column.rotations'),
      say('card.column.net'),
      say('card.column.ran'),
    ]),
    ...startsOf(runs).flatMap(({ first, stationIds }) =>
      columns(CYCLE_COLUMNS, [
        clock.timeOf(first.startMs),
        bedName(plan, first.bedId),
        stationIds.map((id) => shortStationId(id, first.bedId)).join(' '),
        (first.runS / 60).toFixed(1),
        String(first.rotations),
        show.depth(first.netMm),
        '[_]',
      ]),
    ),
    ...missedLines,
  ];
}

/** Stations of one cycle that run alike and side by side share a line, that of the first to start. */
function startsOf(runs: readonly Run[]): { first: Run; stationIds: string[] }[] {
  const lines: { first: Run; stationIds: string[] }[] = [];
  const newest = new Map<string, { first: Run; stationIds: string[] }>();
  for (const run of runs) {
    const key = JSON.stringify([run.bedId, run.cycle, run.runS, run.netMm.toFixed(3)]);
    const line = newest.get(key);
    if (line !== undefined && run.startMs < line.first.startMs + line.first.runS * 1000) {
      line.stationIds.push(run.stationId);
      continue;
    }
    const begun = { first: run, stationIds: [run.stationId] };
    newest.set(key, begun);
    lines.push(begun);
  }
  return lines;
}

function bedLines({ plan, runs, reader }: PlanCard): string[] {
  const { clock, show } = reader;
  const say = sayTo(reader);
  const worth = sayWorthLooking(plan, reader);
  const dryFirst = (bed: BedPlan) => bed.dryAtMs ?? Number.POSITIVE_INFINITY;
  const dryAt = ({ dryAtMs }: BedPlan) => {
    if (dryAtMs === null) return say('card.not_soon');
    return clock.siteDayOf(dryAtMs) > plan.siteDay ? say('card.next_day') : clock.timeOf(dryAtMs);
  };
  const bandLine = (bed: BedPlan) => {
    const band = shortBand(bed, plan.startMs, reader);
    return band === null ? [] : [`(${band})`.padStart(CARD_WIDTH - 1)];
  };
  const isBanded = plan.beds.some((bed) => bandLine(bed).length > 0);
  const spread = saySpread(plan.weather, reader);
  const risk = sayPlanRisk(plan, reader);
  return [
    ...columns(BED_COLUMNS, [
      say('card.column.bed'),
      say('card.column.stage'),
      say('card.column.cycles'),
      say('card.column.loss'),
      say('card.column.net'),
      say('card.column.percent'),
      say('card.column.dry_at'),
    ]),
    ...plan.beds
      .toSorted((a, b) => dryFirst(a) - dryFirst(b))
      .flatMap((bed) => {
        const own = runs.filter((run) => run.bedId === bed.bedId);
        const netMm = leastOfStations(own);
        const row = columns(BED_COLUMNS, [
          bed.name,
          stageWords(bed.stage, say),
          String(new Set(own.map((run) => run.cycle)).size),
          show.depth(bed.lossMm),
          show.depth(netMm),
          bed.lossMm > 0 ? ((100 * netMm) / bed.lossMm).toFixed(0) : '-',
          dryAt(bed),
        ]);
        return [...row, ...bandLine(bed)];
      }),
    ...fold(say('card.driest_first')),
    ...(isBanded ? fold(say('card.band')) : []),
    ...(spread === null ? [] : fold(say('card.spread', { spread }))),
    ...(risk === null ? [] : fold(risk)),
    ...(worth === null ? [] : fold(worth)),
  ];
}

/** What the station gives that gives its part least, mm: no other part is shorter of water. */
function leastOfStations(runs: readonly Run[]): number {
  const netMm = new Map<string, number>();
  for (const run of runs) netMm.set(run.stationId, (netMm.get(run.stationId) ?? 0) + run.netMm);
  return netMm.size === 0 ? 0 : Math.min(...netMm.values());
}

function warningLines({ plan, reader }: PlanCard): string[] {
  if (plan.warnings.length === 0) return [];
  const texts = warningTexts(plan, reader);
  return [
    rule('-'),
    sayTo(reader)('card.look_out'),
    ...texts.flatMap(({ bedId, text }) =>
      fold(named(text, bedId === null ? '' : bedName(plan, bedId)), '* ', '  '),
    ),
  ];
}

/** A text that names its bed, once. */
function named(text: string, name: string): string {
  return name === '' || text.includes(name) ? text : `${name}: ${text}`;
}

/** Every notice with its rule and what the rule saw: on paper nobody can ask for more. */
function noticeLines({ plan, reader }: PlanCard): string[] {
  if (plan.notices.length === 0) return [];
  const say = sayTo(reader);
  return [
    rule('-'),
    say('card.weather_and_water'),
    ...noticeTexts(plan, reader).flatMap((notice) => [
      ...fold(`${say(`severity.${notice.severity}`)}: ${notice.title}. ${notice.text}`, '* ', '  '),
      ...fold(say('card.rule', { rule: notice.rule }), '  ', '    '),
      ...notice.saw.flatMap((saw) => fold(say('card.saw', { saw }), '  ', '    ')),
    ]),
  ];
}

/** "Wednesday 2026-07-01". */
function dayOf(siteDay: string, { language }: Reader): string {
  const weekday = new Intl.DateTimeFormat(language, { weekday: 'long', timeZone: 'UTC' });
  return `${weekday.format(Date.parse(`${siteDay}T00:00:00Z`))} ${siteDay}`;
}

/** Columns of a card: what a printer and a terminal take at their usual type size. */
export const CARD_WIDTH = 80;

function rule(character: '-' | '='): string {
  return character.repeat(CARD_WIDTH);
}

/** Two texts at the two ends of a line; the right one moves below when both do not fit. */
function leftRight(left: string, right: string): string {
  const gap = CARD_WIDTH - lengthOf(left) - lengthOf(right);
  if (gap >= 2) return `${left}${' '.repeat(gap)}${right}`;
  return [...fold(left), ...fold(right)].join('\n');
}

/**
 * Folds a text at spaces; a word longer than the width is cut. Control characters count as spaces:
 * a name must not steer a printer.
 */
export function fold(text: string, first = '', next = '', width = CARD_WIDTH): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text
    .split(/[\s\p{Cc}]+/u)
    .flatMap((long) => pieces(long, width - lengthOf(first)))) {
    if (!empty && lengthOf(line) + 1 + lengthOf(word) > width) {
      lines.push(line);
      line = next;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line].map((full) => full.trimEnd());
}

/**
 * One row of cells, two spaces apart; a negative width sets the cell to the left. A cell that is
 * too long goes on below itself, since a cut name could name another bed.
 */
export function columns(widths: readonly number[], cells: readonly string[]): string[] {
  const folded = widths.map((width, i) => fold(cells[i] ?? '', '', '', Math.abs(width)));
  const height = Math.max(...folded.map((lines) => lines.length));
  return Array.from({ length: height }, (_, row) =>
    widths
      .map((width, i) => pad(folded[i]?.[row] ?? '', width))
      .join('  ')
      .trimEnd(),
  );
}

function pad(text: string, width: number): string {
  const space = ' '.repeat(Math.max(0, Math.abs(width) - lengthOf(text)));
  return width < 0 ? `${text}${space}` : `${space}${text}`;
}

function pieces(word: string, width: number): string[] {
  const letters = [...word];
  const parts: string[] = [];
  for (let i = 0; i < letters.length; i += width) parts.push(letters.slice(i, i + width).join(''));
  return parts;
}

function lengthOf(text: string): number {
  return [...text].length;
}
