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

const PARTS = [
  { value: 'site', words: 'where the site is' },
  { value: 'weather', words: 'where the weather comes from' },
  { value: 'supply', words: 'pump and mains' },
  { value: 'ground', words: 'beds, stations and sand' },
  { value: 'people', words: 'people and PINs' },
  { value: 'outputs', words: 'where confirmed plans go' },
] as const;

type Part = (typeof PARTS)[number]['value'];

/** Asks for a whole site, or for the parts of a known one that are to change. */
export async function interview(talk: Talk, world: InterviewWorld): Promise<SetupAnswers> {
  const answers: SetupAnswers = {};
  const { old } = world;
  if (old === null) {
    answers.units = await talk.ask({
      kind: 'choice',
      ask: 'Units that you think in',
      choices: [
        { value: 'us', words: 'US (gpm, in/h, °F)' },
        { value: 'metric', words: 'metric (L/min, mm/h, °C)' },
      ],
      preset: world.machineZone.startsWith('America/') ? 'us' : 'metric',
    });
    for (const { value } of PARTS) await askPart(talk, value, { answers, world });
    return answers;
  }
  for (;;) {
    const part = await talk.ask({
      kind: 'choice',
      ask: 'What is to change?',
      choices: [...PARTS, { value: 'done', words: 'nothing more: show what would be written' }],
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
      ask: 'Name of the site',
      preset: text(name),
      schema: siteSchema.shape.name,
    }),
    position: await talk.ask(
      textQuestion(
        {
          ask: 'Coordinates, typed or pasted (such as 33.5, -42.1 or 33°30\'00"N 42°06\'00"W)',
          preset: isPlaced ? positionText(latitude, longitude) : undefined,
        },
        (typed) => {
          const reading = readPosition(typed);
          return reading.ok ? null : reading.message;
        },
      ),
    ),
    elevation: await askQuantity(talk, {
      ask: 'Height above the sea, about',
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
          ask: `Time zone of the site${suggested ? ' (suggested: that of this machine)' : ' (such as America/Denver)'}`,
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
    ask: 'Flow that the pump gives at working pressure (such as 350 gpm, 1300 L/min, 80 m³/h)',
    preset: typeof pump_flow === 'string' ? pump_flow : undefined,
    schema: flowSchema,
  });
  const known = Array.isArray(mains) ? mains.filter(isMap) : [];
  const preset = mainsText(known);
  const typed = await talk.ask(
    textQuestion(
      {
        ask: 'Mains with a limit of their own (such as north 250 gpm; south 250 gpm), or - for none',
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
    ask: 'Where do confirmed plans go?',
    choices: [
      { value: 'file', words: 'to files in a folder (a card to print, a table, JSON)' },
      { value: 'mqtt', words: 'to an MQTT broker, and to files' },
      { value: 'none', words: 'nowhere: plans are only shown' },
    ],
    preset: 'file',
  });
  if (way === 'none') return [];
  if (way === 'file') return [file];
  const url = await talk.ask(
    textQuestion({ ask: 'Address of the broker (such as mqtts://broker.example:8883)' }, (text) =>
      /^mqtts?:\/\/[^\s@/]+(\/.*)?$/.test(text)
        ? null
        : 'is no address of a broker without user and password (got something else); write mqtts://host:8883',
    ),
  );
  const needsPassword = await askYesNo(
    talk,
    'Does the broker ask for a user and a password?',
    'yes',
  );
  if (needsPassword) {
    talk.tell(
      '  They do not go into the config: give them to the daemon as the environment variables DEWBEAT_MQTT_USER and DEWBEAT_MQTT_PASSWORD.',
    );
  }
  const secrets = { username_env: 'DEWBEAT_MQTT_USER', password_env: 'DEWBEAT_MQTT_PASSWORD' };
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
  if (names.length > 0) talk.tell(`  People who may use the page now: ${names.join(', ')}.`);
  const wider = await talk.ask({
    kind: 'choice',
    ask: 'Who uses the page?',
    choices: [
      { value: 'here', words: 'people at this machine alone, by their name, without a PIN' },
      { value: 'people', words: 'people with PINs, from this machine or others' },
      ...(names.length > 0 ? [{ value: 'keep', words: 'the same as now' }] : []),
    ],
    preset: names.length > 0 ? 'keep' : 'here',
  });
  if (wider === 'keep') return {};
  if (wider === 'here')
    return names.length > 0 ? { page: { address: '127.0.0.1' }, people: [] } : {};
  const people: AnsweredPerson[] = [];
  do {
    people.push(await askPerson(talk, { isFirst: people.length === 0, names }));
  } while (await askYesNo(talk, 'One more person?', 'no'));
  const address = await talk.ask(
    textQuestion(
      {
        ask: 'Address that the page listens on (127.0.0.1: this machine; 0.0.0.0: the network)',
        preset: typeof oldAddress === 'string' ? oldAddress : '127.0.0.1',
      },
      (text) => (isIP(text) === 0 ? `is not an IP address (got ${text}); write 127.0.0.1` : null),
    ),
  );
  if (!isLoopback(address)) {
    talk.tell(
      '  Beyond this machine put a proxy with https in front, or PINs cross the network in the clear.',
    );
  }
  return { page: { address }, people };
}

async function askPerson(
  talk: Talk,
  { isFirst, names }: { isFirst: boolean; names: readonly string[] },
): Promise<AnsweredPerson> {
  const name = (
    await talk.ask(
      textQuestion({ ask: 'Name' }, (text) =>
        text.trim() === '' || text.trim().length > 60
          ? 'is no name (got nothing, or too much); write 1 to 60 letters'
          : null,
      ),
    )
  ).trim();
  const role = await talk.ask({
    kind: 'choice',
    ask: `What may ${name} do?`,
    choices: [
      { value: 'keeper', words: 'everything: confirm, change, hold' },
      { value: 'watcher', words: 'look and hold, never confirm' },
    ],
    preset: isFirst ? 'keeper' : 'watcher',
  });
  const isKnown = names.includes(name);
  let pin = '';
  const keep = isKnown ? ', empty: the one before' : '';
  pin = await talk.ask({
    kind: 'secret',
    ask: `PIN of ${name} (${LEAST_PIN} characters or more${keep})`,
    wrong: (text) =>
      (isKnown && text === '') || (text.length >= LEAST_PIN && text.length <= 64)
        ? null
        : `must have ${LEAST_PIN} to 64 characters (got ${text.length}); choose another one`,
  });
  if (pin === '') return { name, role };
  await talk.ask({
    kind: 'secret',
    ask: 'The same again',
    wrong: (text) =>
      text === pin ? null : 'is another one (got a different PIN); type the same, or < to go back',
  });
  return { name, role, pin };
}
