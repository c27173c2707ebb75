import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { builtFile } from './served-site.ts';

const SOURCE = fileURLToPath(new URL('../../../../daemon/web/page/', import.meta.url));

describe('the built page', () => {
  it('names no address outside, and carries no script or style of its own in its document', () => {
    const html = builtFile('index.html').toString();
    expect(html).not.toMatch(/<style|style=|<script>|javascript:| on\w+=/);
    for (const name of ['index.html', 'page.css']) {
      expect(builtFile(name).toString(), name).not.toMatch(/https?:\/\/|@import|url\(["']?\/\//);
    }
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
