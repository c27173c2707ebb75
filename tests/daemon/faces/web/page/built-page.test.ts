import { appendFileSync, cpSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { readAssets } from '../../../../../daemon/faces/web/assets.ts';
import { scratchFolder } from '../../../../scratch-site.ts';
import { BUILT_PAGE, builtFile } from './served-site.ts';

const SOURCE = fileURLToPath(new URL('../../../../../daemon/faces/web/page/', import.meta.url));

describe('the built page', () => {
  it('names no address outside, and carries no script or style of its own in its document', () => {
    const html = builtFile('index.html').toString();
    expect(html).not.toMatch(/<style|style=|<script>|javascript:| on\w+=/);
    for (const name of ['index.html', 'page.css']) {
      expect(builtFile(name).toString(), name).not.toMatch(/https?:\/\/|@import|url\(["']?\/\//);
    }
  });

  it('is named by its build, in the document and in the worker that keeps it', async () => {
    const names = async (folder: string) => {
      const assets = await readAssets(folder);
      const text = (name: string) => assets?.get(name)?.plain.toString() ?? '';
      return [
        /name="dewbeat-build" content="([\w-]+)"/.exec(text('index.html'))?.[1],
        /dewbeat-shell ([\w-]+)/.exec(text('worker.js'))?.[1],
      ];
    };
    const [build, kept] = await names(BUILT_PAGE);
    expect(build).toMatch(/^[\w-]{27}$/);
    expect(kept).toBe(build);
    const folder = scratchFolder();
    cpSync(BUILT_PAGE, folder, { recursive: true });
    appendFileSync(join(folder, 'page.css'), '\n');
    const [next] = await names(folder);
    expect(next).toMatch(/^[\w-]{27}$/);
    expect(next).not.toBe(build);
  });

  it('has one colour for each meaning, named in one place', () => {
    const sheets = readdirSync(SOURCE).filter((name) => name.endsWith('.css'));
    const coloured = sheets.filter(
      (name) =>
        name !== 'look.css' && /#[0-9a-f]{3,6}\b/i.test(readFileSync(join(SOURCE, name), 'utf8')),
    );
    // Paper has ink of its own.
    expect(coloured).toEqual(['paper.css']);
  });
});
