import { parseArgs } from 'node:util';
import { bedStore, memberSpread } from '../../calc/futures/member-spread.ts';
import { sandClassModels } from '../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../calc/sand/sand-classes.ts';
import {
  bestClock,
  byTheRule,
  commonPractice,
  dewbeat,
  FOLLOWED,
  lastMoment,
  type Outcome,
  QUARTERLY,
} from './season/contenders.ts';
import { benchJudge } from './season/judge/judge.ts';
import { benchKnownSands } from './season/known-sands.ts';
import {
  type PlaceWeather,
  placedWindows,
  type SeasonCase,
  seasonCase,
} from './season/season-case.ts';
import { packagedWeather, weatherFromFile } from './season/sources.ts';
import { meanLines, type Named, rowLine, TITLE } from './season/table.ts';

/** Coarse to fine, free draining and over gravel. */
const SANDS = [
  'coarse_open',
  'loamy_open',
  'medium_open',
  'coarse_over_gravel',
  'medium_coarse_over_gravel',
  'medium_over_gravel',
  'fine_over_gravel',
];

/**
 * Five ways of watering, side by side, judged by the numerical column: sands from coarse to fine,
 * windows of real weather from the packages here, or from a file given with `--weather`. A sixth,
 * `--only 'every quarter'`, plans anew each quarter of an hour instead of by the daemon's rule.
 *
 * `--known` asks instead what it costs not to know the sand: see `season/known-sands.ts`. `--judge`
 * asks what plans are worth where neither sand nor day is as they assume: see `season/judge/judge.ts`.
 */
export async function benchSeason(
  print: (text: string) => void,
  args: readonly string[],
): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      weather: { type: 'string', multiple: true, default: [] },
      config: { type: 'string' },
      year: { type: 'string', default: '2015' },
      sand: { type: 'string', multiple: true, default: [] },
      only: { type: 'string', multiple: true, default: [] },
      known: { type: 'boolean', default: false },
      truths: { type: 'string', default: '12' },
      reported: { type: 'string', default: '4' },
      classes: { type: 'string' },
      tune: { type: 'boolean', default: false },
      judge: { type: 'boolean', default: false },
      cases: { type: 'string', default: '42' },
      each: { type: 'boolean', default: false },
    },
  });
  const asked = { configFile: values.config, year: Number(values.year) };
  const given = await Promise.all(values.weather.map((file) => weatherFromFile(file, asked)));
  if (values.judge) {
    await benchJudge(print, {
      sources: [...(await packagedWeather()), ...given],
      classes: values.classes?.split(',') ?? null,
      cases: Number(values.cases),
      isTuning: values.tune,
      only: values.only,
      isEach: values.each,
    });
    return;
  }
  const sources = given.length === 0 ? await packagedWeather() : given;
  if (values.known) {
    await benchKnownSands(print, {
      sources,
      classes: values.classes?.split(',') ?? SANDS,
      truths: Number(values.truths),
      reported: Number(values.reported),
      isTuning: values.tune,
      only: values.only,
    });
    return;
  }
  const sands = values.sand.length === 0 ? SANDS : values.sand;
  const all: Named[] = [];
  for (const source of sources) {
    for (const one of casesOf(source, sands)) {
      const { window } = one;
      print(
        `\n${source.place.name}, ${window.kind}, 5 days from ${window.siteDay} (high ${window.highC.toFixed(0)} °C, wind ${window.windMPerS.toFixed(1)} m/s at 2 m, rain ${window.rainMm.toFixed(1)} mm/d, reference ET ${window.referenceEtMm.toFixed(1)} mm/d), ${one.sand}\n`,
      );
      print(TITLE);
      const reference = lastMoment(one);
      const rows = await rowsOf(one, values.only);
      for (const [name, outcome] of [...rows, ['last moment', reference] as const]) {
        all.push({ name, outcome, reference });
        print(rowLine({ name, outcome, reference }));
      }
    }
  }
  for (const line of meanLines(all)) print(line);
}

function casesOf(source: PlaceWeather, sands: readonly string[]): SeasonCase[] {
  return placedWindows([source]).flatMap(({ config, window }) =>
    sands.map((sand) => seasonCase(config, source, { sand, bed: sandClass(sand).bed, window })),
  );
}

async function rowsOf(
  one: SeasonCase,
  only: readonly string[],
): Promise<(readonly [string, Outcome])[]> {
  const model = sandClassModels[one.sand]?.model;
  if (model === undefined) throw new Error(`no such sand class: ${one.sand}`);
  // As the daemon plans a sand that is known: with what is open of its loss and its nights.
  const store = bedStore(memberSpread([model]));
  const ways: [string, () => Outcome | Promise<Outcome>][] = [
    ['perfect', () => dewbeat(one, { store, forecast: 'perfect', revisions: null })],
    [
      'persistence',
      () => dewbeat(one, { store, forecast: 'persistence', revisions: byTheRule(one) }),
    ],
    [
      'with leeway',
      () => dewbeat(one, { store, forecast: 'persistence', revisions: null, leeway: FOLLOWED }),
    ],
    ['every quarter', () => dewbeat(one, { store, forecast: 'persistence', revisions: QUARTERLY })],
    ['common clock', () => commonPractice(one)],
    ['best clock', () => bestClock(one)],
  ];
  const rows: (readonly [string, Outcome])[] = [];
  for (const [name, way] of ways) {
    const isAsked = only.length === 0 ? name !== 'every quarter' : only.includes(name);
    if (isAsked) rows.push([name, await way()]);
  }
  return rows;
}
