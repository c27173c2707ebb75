import { usePage } from './page-context.ts';

/** So many stand open; on a bad day the rest is folded, worst first. */
const OPEN = 4;

/** What does not fit, the driest first, with what stands in the way. */
export function ShortageList() {
  const { today } = usePage();
  const worstFirst = today.shortages.toSorted(
    (a, b) => b.minutesBelowDryLimit - a.minutesBelowDryLimit || a.fromMs - b.fromMs,
  );
  const lines = worstFirst.map(({ bedId, fromMs, line }) => ({ key: `${bedId} ${fromMs}`, line }));
  return <FoldedLines lines={lines} open={OPEN} />;
}

/** Lines that need a person; those beyond the first few are folded. */
export function FoldedLines(given: {
  lines: readonly { key: string; line: string }[];
  open: number;
}) {
  const { lines, open } = given;
  const list = (some: typeof lines) => (
    <ul class="lines">
      {some.map(({ key, line }) => (
        <li key={key} class="needs-person">
          {line}
        </li>
      ))}
    </ul>
  );
  const rest = lines.slice(open);
  return (
    <>
      {list(lines.slice(0, open))}
      {rest.length === 0 ? null : (
        <details>
          <summary>{rest.length} more</summary>
          {list(rest)}
        </details>
      )}
    </>
  );
}
