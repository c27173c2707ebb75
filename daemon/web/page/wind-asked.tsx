import type { QuestionView } from '../views/today-view.ts';
import { pathTo } from './route.ts';

/** What is asked about the wind, the ways to answer, and what each answer brings. */
export function WindAsked({ line, answered, answers }: QuestionView) {
  return (
    <>
      {line} {answered ?? 'Until somebody answers, the plan runs anyway.'}
      <div class="actions">
        {answers.map(({ answer, words, isPlanned }) => (
          <a
            key={answer}
            class="next-step"
            href={pathTo('change', 'wind', answer)}
            aria-current={answered !== null && isPlanned ? 'true' : undefined}
          >
            {words}
          </a>
        ))}
      </div>
      <details>
        <summary>What each answer brings</summary>
        <ul class="lines">
          {answers.map((one) => (
            <li key={one.answer}>{one.line}</li>
          ))}
        </ul>
      </details>
    </>
  );
}
