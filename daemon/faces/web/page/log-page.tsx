import { useEffect, useState } from 'preact/hooks';
import type { LogRow } from '../views/bed-view.ts';
import { readLog } from './api.ts';
import { usePage } from './page-context.ts';

/** Who did what, when and why; newest first. */
export function LogPage() {
  const { today, time } = usePage();
  const [rows, setRows] = useState<LogRow[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    void readLog().then((outcome) => {
      if (outcome.kind === 'well') setRows(outcome.value.rows);
      setProblem(
        outcome.kind === 'away'
          ? 'The daemon does not answer.'
          : outcome.kind === 'refused'
            ? outcome.error.message
            : null,
      );
    });
  }, [today.version]);
  return (
    <div>
      <h2 tabIndex={-1}>The log</h2>
      <p class="small">Rows are only ever added. {problem}</p>
      <ol class="lines">
        {(rows ?? [])
          .toSorted((a, b) => b.stepId - a.stepId)
          .map((row) => (
            <li key={row.stepId}>
              <span class="small">{time.stampOf(row.atMs)}</span> <strong>{row.who}</strong>:{' '}
              {row.kind.replaceAll('_', ' ')}
              {row.revision === null ? '' : `, revision ${row.revision}`}. {row.what}
            </li>
          ))}
      </ol>
    </div>
  );
}
