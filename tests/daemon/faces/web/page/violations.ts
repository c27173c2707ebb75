import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Violation {
  id: string;
  nodes: { html: string }[];
}

/** Every rule of these tags, and the stricter contrast besides. */
export const ALL_RULES = {
  runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
  rules: { 'color-contrast-enhanced': { enabled: true } },
};
export const CONTRAST_RULES = { runOnly: { type: 'rule', values: ['color-contrast-enhanced'] } };

/** What breaks these rules on a page that lets the checker in (`bypassCSP`). */
export async function violations(page: Page, rules: object): Promise<string[]> {
  await page.evaluate(`window.axe === undefined && eval(${JSON.stringify(AXE)})`);
  const result = (await page.evaluate(`axe.run(document, ${JSON.stringify(rules)})`)) as {
    violations: Violation[];
  };
  return result.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`),
  );
}
