import { describe, expect, it } from 'vitest';
import { mqttWeatherSchema, readMessage } from '../../../adapters/weather/mqtt-message.ts';
import { at, clock } from './weather-folder.ts';

const NOW_MS = at('2026-07-01T12:00:00-07:00');
const MAST = {
  topic: 'mast',
  time: { form: 'iso', at: '/when' },
  fields: {
    air_temp: { at: '/t', unit: '°F' },
    wind: { at: '/gauges/0', unit: 'm/s' },
    rain: { at: '/rain', unit: 'mm' },
  },
};
const PLAIN = { topic: 'bare', fields: { air_temp: { unit: '°C' } } };

const config = (readings: object[]) =>
  mqttWeatherSchema.parse({
    source: 'mqtt',
    url: 'mqtt://127.0.0.1:1883',
    wind_height: '2 m',
    readings,
  }).readings[0] as Parameters<typeof readMessage>[1];

const hear = (payload: string | Uint8Array, reading: object = MAST, retained = false) =>
  readMessage(typeof payload === 'string' ? Buffer.from(payload) : payload, config([reading]), {
    nowMs: NOW_MS,
    retained,
    clock,
  });

describe('a message of a station', () => {
  it('tells its values in the project’s units at its stamp, also when the broker kept it', () => {
    const text = '{"when":"2026-07-01T11:50:00-07:00","t":77,"gauges":[3.5],"rain":null}';
    for (const retained of [false, true]) {
      const { reading, faults } = hear(text, MAST, retained);
      expect(faults).toEqual([]);
      expect(reading?.atMs).toBe(at('2026-07-01T11:50:00-07:00'));
      expect(reading?.values.air_temp).toBeCloseTo(25, 9);
      expect(reading?.values.wind).toBe(3.5);
      expect(reading?.values).not.toHaveProperty('rain');
    }
  });

  it('may be a bare number, of the moment at which it comes', () => {
    expect(hear(' 21.5\n', PLAIN)).toEqual({
      reading: { atMs: NOW_MS, values: { air_temp: 21.5 } },
      faults: [],
    });
  });

  it('is refused when the broker kept it and it has no stamp: its age is not known', () => {
    expect(hear('21.5', PLAIN, true)).toMatchObject({
      reading: null,
      faults: [{ rule: 'retained_unstamped' }],
    });
  });

  it.each([
    [
      '{"when":"2026-07-01T12:03:00-07:00","t":77}',
      'stamped later than now (got 3 min)',
      'future_stamp',
    ],
    ['{"when":"noon","t":77}', 'time cannot be read', undefined],
    ['{"t":77}', 'time cannot be read', undefined],
    ['77', 'time cannot be read', undefined],
    ['{"when":', 'is no JSON', undefined],
    [Buffer.from([0xff, 0xfe, 0x00]), 'is no UTF-8', undefined],
    ['x'.repeat(20_000), 'is too long', undefined],
  ])('%s is left out and told', (payload, why, rule) => {
    const { reading, faults } = hear(payload);
    expect(reading).toBeNull();
    expect(faults).toMatchObject([
      { what: expect.stringContaining(why), done: 'message left out' },
    ]);
    expect(faults[0]?.rule).toBe(rule);
  });

  it('keeps its good values where others cannot be', () => {
    const { reading, faults } = hear(
      '{"when":"2026-07-01T11:50:00-07:00","t":"hot","gauges":[-999],"rain":1}',
    );
    expect(reading?.values).toEqual({ rain: 1 });
    expect(faults.map(({ what }) => what)).toEqual([
      'air_temp is no number (got hot)',
      'wind cannot be (got -999 m/s)',
    ]);
  });

  it.each(['NaN', 'true', '', '1,5', '0x10', '[21]', '{}', 'null'])(
    'of a bare number is none when it is %j',
    (payload) => {
      expect(hear(payload, PLAIN)).toMatchObject({
        reading: null,
        faults: [{ done: 'value left out' }],
      });
    },
  );
});

describe('the config of telemetry', () => {
  const problems = (readings: object[]) =>
    (
      mqttWeatherSchema.safeParse({
        source: 'mqtt',
        url: 'mqtt://127.0.0.1:1883',
        wind_height: '2 m',
        readings,
      }).error?.issues ?? []
    ).map(({ message }) => message);

  it.each([
    [[{ ...PLAIN, topic: 'all/#' }], 'is no single topic'],
    [[PLAIN, PLAIN], 'comes twice'],
    [[PLAIN, { ...PLAIN, topic: 'other' }], 'comes twice (got air_temp)'],
    [[{ ...MAST, fields: {} }], 'names no field'],
    [[{ ...MAST, fields: { air_temp: { unit: '°C' } } }], 'needs a place'],
    [[{ ...MAST, fields: { air_temp: { at: 't', unit: '°C' } } }], 'is no JSON Pointer'],
    [[{ ...PLAIN, fields: { air_temp: { unit: 'mm' } } }], 'has a unit that does not fit'],
  ])('%j: %s', (readings, why) => {
    expect(problems(readings).join('\n')).toContain(why);
  });
});
