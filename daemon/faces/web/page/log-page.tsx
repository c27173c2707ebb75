import { useEffect, useState } from 'preact/hooks';
import type { LogRow } from '../views/bed-view.ts';
import { readLog } from './api.ts';
import { usePage } from './page-context.ts';
import { say } from './words.ts';

/** Who did what, when and why; newest first. */
export function LogPage() {
  const { today } = usePage();
  const [rows, setRows] = useState<LogRow[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    void readLog().then((outcome) => {
      if (outcome.kind === 'well') setRows(outcome.value.rows);
      setProblem(
        outcome.kind === 'away'
          ? say('page.away')
          : outcome.kind === 'refused'
            ? outcome.error.message
            : null,
      );
    });
  }, [today.version]);
  return (
    <div>
      <h2 tabIndex={-1}>{say('page.room.log')}</h2>
      <p class="small">
        {say('page.log.how')} {problem}
      </p>
      <ol class="lines">
        {(rows ?? [])
          .toSorted((a, b) => b.stepId - a.stepId)
          .map((row) => (
            <li key={row.stepId}>{row.line}</li>
          ))}
      </ol>
    </div>
  );
}
