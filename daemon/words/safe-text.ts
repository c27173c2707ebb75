/**
 * Control characters, marks of writing direction and what else is not seen: with them a name, a
 * reason or a file's text could move the cursor, colour, hide or turn round what stands beside it.
 */
const UNSEEN = /(?!\r\n)[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu;
/** Line ends, tabs, and the joiners that scripts and signs are put together with. */
const HARMLESS: ReadonlySet<string> = new Set(['\n', '\t', '\u200c', '\u200d']);

/**
 * A text as it may go to a terminal, whoever wrote it: what cannot be seen is shown as an escape,
 * `\u202e`, as JSON has it, so that JSON stays the same JSON.
 */
export function terminalSafe(text: string): string {
  return text.replace(UNSEEN, (found) => (HARMLESS.has(found) ? found : escaped(found)));
}

/** The same for a place that is one line. */
export function terminalSafeLine(text: string): string {
  return terminalSafe(text).replace(/[\r\n\t]+/g, ' ');
}

function escaped(found: string): string {
  return [...Array(found.length).keys()]
    .map((index) => `\\u${found.charCodeAt(index).toString(16).padStart(4, '0')}`)
    .join('');
}

/** Text made safe to stand between tags or in a quoted attribute. */
export function escapeHtml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');
}
