import { readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T12:00:00Z');

/** An invented site with an invented laboratory report without a release curve. */
const CONFIG = `
site: { id: lab, name: Lab (invented), latitude: 14, longitude: -30, elevation: 10 m, zone: Etc/GMT+2 }
weather: { source: outlook, wind_height: 10 m, usual: [ { month: 7, high: 30 °C, low: 20 °C, wind: 4 m/s, rain: 0 mm } ] }
supply: { pump_flow: 900 gpm }
sands:
  thin: { lab: { total_porosity: 40 %, capillary_porosity: 15 %, saturated_conductivity: 300 mm/h, under: open } }
  own: { capacity: 0.8 mm }
beds:
  - { id: a, area: 500 m², sand: thin }
  - { id: b, area: 500 m², sand: coarse_open }
  - { id: c, area: 500 m², sand: own }
stations:
  - { id: a1, bed: a, flow: 110 gpm, rate: { stated: 18 mm/h }, rotation: 150 s }
  - { id: b1, bed: b, flow: 110 gpm, rate: { stated: 18 mm/h }, rotation: 150 s }
  - { id: c1, bed: c, flow: 110 gpm, rate: { stated: 18 mm/h }, rotation: 150 s }
`;

describe('dewbeat sand', () => {
  it('explains a report, a class and stated figures, and says what is assumed', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'dewbeat.yaml'), CONFIG);
    const said = await dewbeat(['sand'], { cwd, nowMs: NOW_MS });
    expect(said).toMatchObject({ code: 0, err: '' });
    const [thin = '', coarse = '', own = ''] = said.out.split(/\n\n(?=\w)/);
    expect(thin).toContain('Assumed from medium sand over gravel: n, residualFraction.');
    // The curve goes through the capillary porosity that the report states, at 30 cm.
    expect(thin).toMatch(/30 cm +15\.0 %/);
    expect(thin).toContain('How sure: n is assumed.');
    expect(thin).toContain('Plans follow 6 sands that it may be, all as likely: n is open, and');
    expect(coarse).toContain('plans follow 24 of them, all as likely');
    expect(own).toContain('Your own figures: holds 0.80 mm');
    const again = await dewbeat(['sand', '--bed', 'c'], { cwd, nowMs: NOW_MS });
    expect(again.out).not.toContain('thin');
    expect((await dewbeat(['sand', '--bed', 'z'], { cwd, nowMs: NOW_MS })).err).toContain(
      'no such bed (got z); the beds are a, b, c',
    );
  });

  it('plans on a report, and keeps what it worked out of it', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'dewbeat.yaml'), CONFIG);
    const first = await dewbeat(['plan'], { cwd, nowMs: NOW_MS });
    expect(first.code).toBe(0);
    const kept = join(cwd, 'dewbeat-data', 'sands');
    const files = readdirSync(kept);
    expect(files).toHaveLength(6);
    const stamps = () => files.map((file) => statSync(join(kept, file)).mtimeMs);
    const before = stamps();
    expect((await dewbeat(['plan'], { cwd, nowMs: NOW_MS })).code).toBe(0);
    expect(readdirSync(kept)).toEqual(files);
    expect(stamps()).toEqual(before);
  });
});
