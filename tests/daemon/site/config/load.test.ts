import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadConfig } from '../../../../daemon/site/config/load.ts';
import { problemText } from '../../../../daemon/site/config/problems.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { configText, loadSound, SOUND_LINES } from './sound-config.ts';

describe('a sound config', () => {
  const config = loadSound(configText());

  it('becomes a site in SI units', () => {
    expect(config.site).toMatchObject({
      id: 'fen-edge',
      latitudeDeg: 40,
      longitudeDeg: -75,
      elevationM: 30,
    });
    expect(config.site.beds[0]).toEqual({
      id: 'g1',
      name: 'g1',
      areaM2: 464.5152,
      seededOn: null,
      stage: 'germination',
      sand: {
        name: 'medium_over_gravel',
        basis: 'class_default',
        stated: null,
        className: 'medium_over_gravel',
        saturatedMmPerH: 350,
        lab: null,
      },
      embeddingMm: 0,
      slopePct: 2,
      exposureFraction: 1,
      trimFraction: 1,
    });
    expect(config.site.stations[0]).toEqual({
      id: 's1',
      bedId: 'g1',
      flowLPerMin: 103.720282882,
      precipitationRateMmPerH: 18.288,
      rateBasis: 'stated',
      rateMeasured: false,
      runTimeMultiplierFraction: 1,
      rotationS: 180,
      mainId: 'm1',
      lateralId: null,
    });
  });

  it('bounds the leeway of its plans, forbids it, or has an output that does not take it', () => {
    const leewayOf = (lines: readonly string[]) =>
      loadSound([...SOUND_LINES, ...lines].join('\n')).site.limits.leeway;
    expect(leewayOf(['rules: { leeway: { spares: 1, move: 20 min, leave_out: false } }'])).toEqual({
      spareCycles: 1,
      moveMin: 20,
      leaveOut: false,
    });
    expect(leewayOf(['rules: { leeway: none }'])).toBeNull();
    expect(leewayOf(['outputs: [{ output: file, folder: out, takes_changes: false }]'])).toBeNull();
    expect(leewayOf(['outputs: [{ output: file, folder: out }]'])).not.toBeNull();
  });

  it('takes the defaults that are written down', () => {
    expect(config.site.limits).toEqual({
      leeway: { spareCycles: 3, moveMin: 40, leaveOut: true },
      pumpFlowLPerMin: 900,
      mains: [{ id: 'm1', flowLPerMin: 600 }],
      laterals: [],
      stationsAtOnce: 2,
      startGapS: 10,
      leastRunS: 60,
      mostRunS: 1800,
      leastCycles: 4,
      runStepS: 1,
      stationOrder: 'together',
      pumpRiseLPerMin: null,
      pumpRestS: 0,
      dayAllowanceL: null,
      seasonAllowanceL: null,
      restMin: 20,
      firstAfterSunriseMin: 30,
      lastBeforeSunsetMin: 90,
      riskFraction: 0.05,
      windLimitMPerS: 4,
    });
    expect(config).toMatchObject({
      units: 'metric',
      zone: 'America/New_York',
      morning: { kind: 'sunrise', offsetMin: -60 },
      outputs: [],
      page: { address: '127.0.0.1', port: 8780 },
      keepOffRules: [],
      baseFolder: '/srv/fen-edge',
      dataFolder: '/srv/fen-edge/dewbeat-data',
    });
  });

  it('gives SI however the quantities are written', () => {
    const us = configText({
      3: 'supply: { pump_flow: 237.754847 gpm, mains: [{ id: m1, flow: 158.503231 gpm }] }',
      6: '  - { id: g2, area: 4305.564 ft² }',
      9: '  - { id: s2, bed: g2, flow: 52.834410 gpm, rate: { stated: 0.7086614 in/h } }',
    });
    const other = loadSound(us).site;
    expect(other.limits.pumpFlowLPerMin).toBeCloseTo(900, 4);
    expect(other.beds[1]?.areaM2).toBeCloseTo(400, 3);
    expect(other.stations[1]?.flowLPerMin).toBeCloseTo(200, 4);
    expect(other.stations[1]?.precipitationRateMmPerH).toBeCloseTo(18, 5);
  });

  it('names what is assumed', () => {
    expect(config.warnings.map(problemText)).toEqual([
      'site.yaml:5:11 beds[g1].id: has no day of seeding, so no water is planned (got 2 of 2 beds without); write seeded: and the day, or water_before_seeding: true',
      'site.yaml:5:5 beds[g1].sand: is an assumed figure on 2 of 2 beds (got g1, g2); give the sand a capacity of its own, or correct it by looks',
    ]);
  });

  it('asks for a second look at high rates and at rotations between steps', () => {
    const text = configText(
      {
        3: 'supply: { pump_flow: 900 L/min, run_step: 60 s, mains: [{ id: m1, flow: 600 L/min }] }',
        9: '  - { id: s2, bed: g2, flow: 200 L/min, rate: { stated: 70 mm/h }, rotation: 150 s }',
      },
      ['sands: { medium_over_gravel: { capacity: 0.8 mm } }'],
    );
    expect(loadSound(text).warnings.map(problemText)).toEqual([
      'site.yaml:9:57 stations[s2].rate.stated: does not fit flow and area (got 70 mm/h, 2.33 times more than 200 L/min over 400 m² give, 30 mm/h); write flow 200 gpm if that is meant, or correct the rate, or flow and area',
      'site.yaml:5:11 beds[g1].id: has no day of seeding, so no water is planned (got 2 of 2 beds without); write seeded: and the day, or water_before_seeding: true',
      'site.yaml:9:47 stations[s2].rate: is unusually high (got 70.0 mm/h); check that it is the rate of this station',
      'site.yaml:9:78 stations[s2].rotation: is no multiple of run_step (got 150 s, run_step 60 s); runs round up to the next step',
    ]);
  });
});

describe('rates', () => {
  const stationOf = (rate: string, more = '') =>
    loadSound(configText({ 9: `  - { id: s2, bed: g2, flow: 200 L/min, rate: ${rate}${more} }` }))
      .site.stations[1];

  it('come from nozzle and spacing: 27.4 gpm on 65 ft triangles is 0.72 in/h (trade article)', () => {
    const station = stationOf(
      '{ nozzle: { flow: 27.4 gpm, head_spacing: 65 ft, triangular: true } }',
    );
    expect(station?.rateBasis).toBe('nozzle');
    expect(station?.rateMeasured).toBe(false);
    // Half a unit of the second decimal of an inch an hour.
    expect(Math.abs((station?.precipitationRateMmPerH ?? 0) / 25.4 - 0.72)).toBeLessThan(0.005);
  });

  it('double on half a circle', () => {
    const nozzle = 'flow: 27.4 gpm, head_spacing: 65 ft, row_spacing: 60 ft';
    const full = stationOf(`{ nozzle: { ${nozzle} } }`)?.precipitationRateMmPerH ?? 0;
    const half = stationOf(`{ nozzle: { ${nozzle}, arc: 180 ° } }`)?.precipitationRateMmPerH ?? 0;
    expect(half / full).toBeCloseTo(2, 12);
  });

  it('come from catch cans by volume and by depth alike, and count as measured', () => {
    const volumes = stationOf(
      '{ catch_cans: { volumes: [25 mL, 35 mL], collector_area: 100 cm², lasted: 10 min } }',
    );
    const depths = stationOf('{ catch_cans: { depths: [2.5 mm, 3.5 mm], lasted: 10 min } }');
    expect(volumes?.precipitationRateMmPerH).toBeCloseTo(18, 9);
    expect(depths?.precipitationRateMmPerH).toBeCloseTo(18, 9);
    expect(volumes).toMatchObject({ rateBasis: 'catch_cans', rateMeasured: true });
    expect(volumes?.runTimeMultiplierFraction).toBe(1);
    // Low quarter 2.5 of 3 mm: DU 83.3 %, so 1 / (0.4 + 0.6 DU) = 1.111 on request.
    const driest = stationOf(
      '{ catch_cans: { depths: [2.5 mm, 3.5 mm], lasted: 10 min, for_driest: true } }',
    );
    expect(driest?.runTimeMultiplierFraction).toBeCloseTo(1.111, 3);
    expect(stationOf('{ stated: 18 mm/h }', ', measured: true')?.rateMeasured).toBe(true);
  });
});

describe('sands', () => {
  it('go before a class of the same name: own figures, a lab report, or a class', () => {
    const text = configText({ 5: '  - { id: g1, area: 5000 ft², sand: dune }' }, [
      'sands:',
      '  dune: { lab: { total_porosity: 40 %, capillary_porosity: 19 %, saturated_conductivity: 300 mm/h, release: [{ suction: 10 cm, water: 36 % }] } }',
      '  medium_over_gravel: { capacity: 2 mm, feed: 0.3 mm/h }',
    ]);
    const { beds } = loadSound(text).site;
    expect(beds[0]?.sand).toEqual({
      name: 'dune',
      basis: 'lab_report',
      stated: null,
      className: 'medium_over_gravel',
      saturatedMmPerH: 300,
      lab: {
        report: {
          totalPorosityFraction: 0.4,
          capillaryPorosityFraction: 0.19,
          saturatedMmPerH: 300,
          releasePoints: [{ suctionCm: 10, waterFraction: 0.36 }],
        },
        depthMm: 300,
        under: 'gravel',
      },
    });
    expect(beds[1]?.sand).toMatchObject({
      basis: 'stated',
      stated: { capacityMm: 2, feedMmPerH: 0.3 },
    });
  });
});

describe('tables of beds and stations', () => {
  const YAML = [
    ...SOUND_LINES.slice(0, 3),
    'beds_file: tables/beds.csv',
    'stations_file: stations.csv',
  ];
  const BEDS =
    'id,name,area,seeded,stage\ng1,"Green 1, front",5000 ft²,,\ng2,,400 m²,2026-07-01,emergence\n';
  const STATIONS = [
    'id,bed,main,flow,rate,nozzle_flow,head_spacing,triangular,measured',
    's1,g1,m1,27.4 gpm,0.72 in/h,,,,true',
    '# a line to leave out',
    's2,g2,,200 L/min,,27.4 gpm,65 ft,true,',
    '',
  ].join('\n');

  function load(beds: string, stations: string, yaml = YAML.join('\n')) {
    const folder = scratchFolder();
    mkdirSync(join(folder, 'tables'));
    writeFileSync(join(folder, 'site.yaml'), yaml);
    writeFileSync(join(folder, 'tables', 'beds.csv'), beds);
    writeFileSync(join(folder, 'stations.csv'), stations);
    const result = loadConfig(join(folder, 'site.yaml'));
    const told = result.ok
      ? []
      : result.problems.map((problem) => problemText(problem).replace(`${folder}/`, ''));
    return { folder, config: result.ok ? result.config : null, told };
  }

  it('give the same site as the lists would', () => {
    const { folder, config, told } = load(BEDS, STATIONS);
    expect(told).toEqual([]);
    expect(config?.site.beds).toMatchObject([
      { id: 'g1', name: 'Green 1, front', areaM2: 464.5152, seededOn: null, stage: 'germination' },
      { id: 'g2', name: 'g2', areaM2: 400, seededOn: '2026-07-01', stage: 'emergence' },
    ]);
    expect(config?.site.stations).toMatchObject([
      { id: 's1', rateBasis: 'stated', rateMeasured: true, mainId: 'm1' },
      { id: 's2', rateBasis: 'nozzle', rateMeasured: false, mainId: null },
    ]);
    expect(config?.sources).toEqual(
      ['site.yaml', 'tables/beds.csv', 'stations.csv'].map((name) => join(folder, name)),
    );
  });

  it('tell problems with the line and column of the table', () => {
    const { told } = load(
      BEDS.replace('5000 ft²', '5000').replace('seeded', 'seedd'),
      STATIONS.replace('200 L/min', '200 psi').replace('s1,g1,m1', 's1,g9,m7'),
    );
    expect(told).toEqual([
      'tables/beds.csv:1:14 seedd: is not a known column; did you mean seeded?',
      'tables/beds.csv:2:21 beds[g1].area: has no unit (got 5000); write an area as a number and one of m², cm², ha, ft², in², acre',
      'stations.csv:2:4 stations[s1].bed: names a bed that is not there (got g9); there are g1, g2',
      'stations.csv:2:7 stations[s1].main: names a main that is not there (got m7); there are m1',
      'stations.csv:4:8 stations[s2].flow: has a unit that does not fit here (got 200 psi); write a flow as a number and one of L/min, L/s, m³/h, gpm',
    ]);
  });

  it('reads tables as spreadsheets write them: with a byte order mark and CRLF', () => {
    const crlf = (text: string) => `\uFEFF${text.replaceAll('\n', '\r\n')}`;
    expect(load(crlf(BEDS), crlf(STATIONS)).told).toEqual([]);
    expect(load(crlf(BEDS.replace('400 m²', '400 mm')), crlf(STATIONS)).told).toEqual([
      expect.stringMatching(/^tables\/beds\.csv:3:5 beds\[g2\]\.area: has a unit/),
    ]);
  });

  it('say what is wrong with the table itself', () => {
    expect(load('', STATIONS).told[0]).toMatch(
      /^tables\/beds\.csv:1:1: is empty; write a line with the columns id, name, area/,
    );
    expect(load('id,area\n', STATIONS).told[0]).toBe(
      'tables/beds.csv:1:1: has no rows; write one line for each of the beds',
    );
    expect(load('id,area\ng1,500 m²,x\ng2,500 m²\n', STATIONS).told).toEqual([
      'tables/beds.csv:2:11: has more cells than there are columns (got 3); put quotes around cells with commas',
    ]);
    expect(load('id,area\ng1,"5 m²\n', STATIONS).told[0]).toMatch(
      /^tables\/beds\.csv:\d+:1: is not a readable table \(got .*\); check quotes and commas$/,
    );
  });

  it('say when a table, or the config itself, is not there', () => {
    const gone = YAML.join('\n').replace('tables/beds.csv', 'gone.csv');
    expect(load(BEDS, STATIONS, gone).told[0]).toBe(
      'site.yaml:4:12 beds_file: names a table that cannot be read (got gone.csv: no such file); correct the name',
    );
    const result = loadConfig('/nowhere/at/all.yaml');
    expect(result.ok ? [] : result.problems.map(problemText)).toEqual([
      '/nowhere/at/all.yaml: cannot be read (got no such file); name a config file that is there',
    ]);
  });
});
