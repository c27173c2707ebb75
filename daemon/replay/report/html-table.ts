import { escapeHtml } from '../../words/escape-html.ts';

/** A table with a heading row; every cell is escaped. */
export function htmlTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
): string {
  const cells = (row: readonly string[], tag: 'th scope="col"' | 'td') =>
    row.map((cell) => `<${tag}>${escapeHtml(cell)}</${tag.slice(0, 2)}>`).join('');
  return `<div class="wide"><table><thead><tr>${cells(heading, 'th scope="col"')}</tr></thead><tbody>${rows
    .map((row) => `<tr>${cells(row, 'td')}</tr>`)
    .join('')}</tbody></table></div>`;
}
