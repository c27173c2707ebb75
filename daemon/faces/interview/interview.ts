import { isIP } from 'node:net';
import {
  type AnsweredPerson,
  answeredPlace,
  type RawConfig,
  type SetupAnswers,
} from '../../actions/setup/answers.ts';
import { positionText, readPosition } from '../../actions/setup/position.ts';
import type { TrialPlace, WeatherTrial } from '../../actions/setup/try-weather.ts';
import { mainsText, shortId, typedMains } from '../../actions/setup/typed-values.ts';
import { isMap } from '../../site/config/bounded-input.ts';
import { isLoopback } from '../../site/config/page-schema.ts';
import { LEAST_PIN } from '../../site/config/pin-hash.ts';
import { placeMisfit, siteSchema } from '../../site/config/site-schema.ts';
import { flowSchema } from '../../site/config/water-supply.ts';
import { siteClock } from '../../site/time/site-clock.ts';
import { sayInInterview as say } from '../../words/interview.ts';
import { askGround } from './ask-ground.ts';
import { askWeather } from './ask-weather.ts';
import { askQuantity, askText, askYesNo, type Talk, textQuestion, wrongBy } from './talk.ts';

/** What the interview needs of the world. */
interface InterviewWorld {
  /** The plain value of the config that is there; null: none. */
  old: RawConfig | null;
  nowMs: number;
  machineZone: string;
  pathOf(file: string): string;
  tryWeather(given: {
    raw: unknown;
    place: TrialPlace;
    units: 'us' | 'metric';
  }): Promise<WeatherTrial>;
}

const PARTS = ['site', 'weather', 'supply', 'ground', 'people', 'outputs'] as const;

type Part = (typeof PARTS)[number];

const MOST_PIN = 64;
const MQTT_USER = 'DEWBEAT_MQTT_USER';
const MQTT_PASSWORD = 'DEWBEAT_MQTT_PASSWORD';
const POSITION_EXAMPLE = '33.5, -42.1 or 33°30\'00"N 42°06\'00"W';

/** Asks for a whole site, or for the parts of a known one that are to change. */
export async function interview(talk: Talk, world: InterviewWorld): Promise<SetupAnswers> {
  const answers: SetupAnswers = {};
  const { old } = world;
  if (old === null) {
    answers.units = await talk.ask({
      kind: 'choice',
      ask: say('units.ask'),
      choices: [
        { value: 'us', words: say('units.us') },
        { value: 'metric', words: say('units.metric') },
      ],
      preset: world.machineZone.startsWith('America/') ? 'us' : 'metric',
    });
    for (const part of PARTS) await askPart(talk, part, { answers, world });
    return answers;
  }
  for (;;) {
    const part = await talk.ask({
      kind: 'choice',
      ask: say('part.ask'),
      choices: [...PARTS, 'done' as const].map((value) => ({ value, words: say(`part.${value}`) })),
      preset: 'done',
    });
    if (part === 'done') return answers;
    await askPart(talk, part as Part, { answers, world });
  }
}

async function askPart(
  talk: Talk,
  part: Part,
  { answers, world }: { answers: SetupAnswers; world: InterviewWorld },
): Promise<void> {
  const { old } = world;
  const units = (answers.units ?? old?.units) === 'us' ? 'us' : 'metric';
  const mapOf = (raw: unknown) => (isMap(raw) ? raw : {});
  switch (part) {
    case 'site': {
      const { machineZone } = world;
      answers.site = { ...(await askSite(talk, { old: mapOf(old?.site), units, machineZone })) };
      return;
    }
    case 'weather': {
      const place = answeredPlace(answers, old);
      answers.weather = (await askWeather(talk, {
        old: old?.weather,
        units,
        month: Number(siteClock(place.zone).siteDayOf(world.nowMs).slice(5, 7)),
        position: { latitude: place.latitudeDeg, longitude: place.longitudeDeg },
        pathOf: world.pathOf,
        tryOut: (raw) => world.tryWeather({ raw, place, units }),
      })) as Record<string, unknown>;
      return;
    }
    case 'supply':
      answers.supply = await askSupply(talk, mapOf(old?.supply));
      return;
    case 'ground':
      Object.assign(answers, await askGround(talk, { old: old ?? {}, units }));
      return;
    case 'people':
      Object.assign(answers, await askPeople(talk, mapOf(old?.page)));
      return;
    case 'outputs': {
      const { name } = mapOf(answers.site);
      const { id } = mapOf(old?.site);
      answers.outputs = await askOutputs(talk, String(id ?? (shortId(String(name)) || 'site')));
    }
  }
}

/** A site as answered: the config's keys, and the coordinates in one line. */
interface SiteAnswer {
  name: string;
  position: string;
  elevation: string;
  zone: string;
}

/** Asks where the site is. */
async function askSite(
  talk: Talk,
  given: { old: Readonly<Record<string, unknown>>; units: 'us' | 'metric'; machineZone: string },
): Promise<SiteAnswer> {
  const { old, units, machineZone } = given;
  const { name, latitude, longitude, elevation, zone } = old;
  const text = (value: unknown) => (typeof value === 'string' ? value : undefined);
  const isPlaced = typeof latitude === 'number' && typeof longitude === 'number';
  const answer = {
    name: await askText(talk, {
      ask: say('site.name'),
      preset: text(name),
      schema: siteSchema.shape.name,
    }),
    position: await talk.ask(
      textQuestion(
        {
          ask: say('site.position', { example: POSITION_EXAMPLE }),
          preset: isPlaced ? positionText(latitude, longitude) : undefined,
        },
        (typed) => {
          const reading = readPosition(typed);
          return reading.ok ? null : reading.message;
        },
      ),
    ),
    elevation: await askQuantity(talk, {
      ask: say('site.elevation'),
      preset: text(elevation) ?? (units === 'us' ? '300 ft' : '100 m'),
      schema: siteSchema.shape.elevation,
    }),
  };
  const placed = readPosition(answer.position);
  const wrongZone = (typed: string) =>
    wrongBy(siteSchema.shape.zone)(typed) ??
    (placed.ok
      ? placeMisfit({
          zone: typed,
          latitudeDeg: placed.latitude,
          longitudeDeg: placed.longitude,
        })
      : null);
  const isMachineThere = wrongZone(machineZone) === null;
  const suggested = zone === undefined && isMachineThere;
  return {
    ...answer,
    zone: await talk.ask(
      textQuestion(
        {
          ask: say(suggested ? 'site.zone_suggested' : 'site.zone'),
          preset: text(zone) ?? (isMachineThere ? machineZone : undefined),
        },
        wrongZone,
      ),
    ),
  };
}

/** Asks for the pump and the mains. */
async function askSupply(
  talk: Talk,
  old: Readonly<Record<string, unknown>>,
): Promise<Record<string, unknown>> {
  const { pump_flow, mains } = old;
  const pumpFlow = await askQuantity(talk, {
    ask: say('supply.pump'),
    preset: typeof pump_flow === 'string' ? pump_flow : undefined,
    schema: flowSchema,
  });
  const known = Array.isArray(mains) ? mains.filter(isMap) : [];
  const preset = mainsText(known);
  const typed = await talk.ask(
    textQuestion(
      {
        ask: say('supply.mains'),
        preset: preset === '' ? '-' : preset,
      },
      (text) => {
        const found = typedMains(text);
        return typeof found === 'string' ? found : null;
      },
    ),
  );
  const pipes = typedMains(typed);
  return {
    pump_flow: pumpFlow,
    ...(typeof pipes === 'string' || pipes.length === 0
      ? known.length > 0
        ? { mains: null }
        : {}
      : { mains: pipes }),
  };
}

/** Asks where confirmed plans go; null: as assumed. */
async function askOutputs(talk: Talk, siteId: string): Promise<Record<string, unknown>[]> {
  const file = { output: 'file', folder: `./dewbeat-data/${siteId}/out` };
  const way = await talk.ask({
    kind: 'choice',
    ask: say('outputs.ask'),
    choices: [
      { value: 'file', words: say('outputs.file') },
      { value: 'mqtt', words: say('outputs.mqtt') },
      { value: 'none', words: say('outputs.none') },
    ],
    preset: 'file',
  });
  if (way === 'none') return [];
  if (way === 'file') return [file];
  const url = await talk.ask(
    textQuestion({ ask: say('outputs.broker') }, (text) =>
      /^mqtts?:\/\/[^\s@/]+(\/.*)?$/.test(text) ? null : say('outputs.no_broker'),
    ),
  );
  const needsPassword = await askYesNo(talk, say('outputs.password'), 'yes');
  if (needsPassword) {
    talk.tell(`  ${say('outputs.secrets', { user: MQTT_USER, password: MQTT_PASSWORD })}`);
  }
  const secrets = { username_env: MQTT_USER, password_env: MQTT_PASSWORD };
  return [file, { output: 'mqtt', url, ...(needsPassword ? secrets : {}) }];
}

/** Who may use the page, and from where. */
interface PageAnswer {
  page?: { address: string };
  people?: AnsweredPerson[];
}

/** Asks for people and their PINs; PINs are typed twice and never shown. */
async function askPeople(talk: Talk, old: Readonly<Record<string, unknown>>): Promise<PageAnswer> {
  const { people: listed, address: oldAddress } = old;
  const before = Array.isArray(listed) ? listed.filter(isMap) : [];
  const names = before.flatMap(({ name }) => (typeof name === 'string' ? [name] : []));
  if (names.length > 0) talk.tell(`  ${say('people.now', { names: names.join(', ') })}`);
  const wider = await talk.ask({
    kind: 'choice',
    ask: say('people.ask'),
    choices: [
      { value: 'here', words: say('people.here') },
      { value: 'people', words: say('people.people') },
      ...(names.length > 0 ? [{ value: 'keep', words: say('answer.keep') }] : []),
    ],
    preset: names.length > 0 ? 'keep' : 'here',
  });
  if (wider === 'keep') return {};
  if (wider === 'here')
    return names.length > 0 ? { page: { address: '127.0.0.1' }, people: [] } : {};
  const people: AnsweredPerson[] = [];
  do {
    people.push(await askPerson(talk, { isFirst: people.length === 0, names }));
  } while (await askYesNo(talk, say('people.one_more'), 'no'));
  const address = await talk.ask(
    textQuestion(
      {
        ask: say('people.address'),
        preset: typeof oldAddress === 'string' ? oldAddress : '127.0.0.1',
      },
      (text) => (isIP(text) === 0 ? say('people.no_address', { got: text }) : null),
    ),
  );
  if (!isLoopback(address)) {
    talk.tell(`  ${say('people.proxy')}`);
  }
  return { page: { address }, people };
}

async function askPerson(
  talk: Talk,
  { isFirst, names }: { isFirst: boolean; names: readonly string[] },
): Promise<AnsweredPerson> {
  const name = (
    await talk.ask(
      textQuestion({ ask: say('person.name') }, (text) =>
        text.trim() === '' || text.trim().length > 60 ? say('person.no_name') : null,
      ),
    )
  ).trim();
  const role = await talk.ask({
    kind: 'choice',
    ask: say('person.role', { name }),
    choices: [
      { value: 'keeper', words: say('person.keeper') },
      { value: 'watcher', words: say('person.watcher') },
    ],
    preset: isFirst ? 'keeper' : 'watcher',
  });
  const isKnown = names.includes(name);
  const pin = await talk.ask({
    kind: 'secret',
    ask: say(isKnown ? 'person.pin_known' : 'person.pin', { name, least: LEAST_PIN }),
    wrong: (text) =>
      (isKnown && text === '') || (text.length >= LEAST_PIN && text.length <= MOST_PIN)
        ? null
        : say('person.bad_pin', { least: LEAST_PIN, most: MOST_PIN, got: text.length }),
  });
  if (pin === '') return { name, role };
  await talk.ask({
    kind: 'secret',
    ask: say('person.again'),
    wrong: (text) => (text === pin ? null : say('person.other_pin')),
  });
  return { name, role, pin };
}
