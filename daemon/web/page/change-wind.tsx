import { useState } from 'preact/hooks';
import { ChangeForm } from './change-form.tsx';
import { usePage } from './page-context.ts';

/** The answer to what the plan asks about the wind, with what each one costs. */
export function WindForm({ first }: { first: string | null }) {
  const { question } = usePage().today;
  const answers = question?.answers ?? [];
  const [answer, setAnswer] = useState(answers.find((one) => one.answer === first)?.answer ?? null);
  return (
    <ChangeForm
      title="Answer to the wind"
      intro={
        question === null
          ? 'The plan asks nothing about the wind now.'
          : [question.line, question.answered ?? 'Nobody has answered yet.'].join(' ')
      }
      change={answer === null ? null : { kind: 'wind', choice: answer }}
      missing={question === null ? 'There is nothing to answer.' : 'Choose an answer first.'}
    >
      <div class="hints">
        {answers.map((one) => (
          <button
            key={one.answer}
            type="button"
            aria-pressed={answer === one.answer}
            onClick={() => setAnswer(one.answer)}
          >
            {one.words}
          </button>
        ))}
      </div>
      <ul class="lines">
        {answers.map((one) => (
          <li key={one.answer}>{one.line}</li>
        ))}
      </ul>
    </ChangeForm>
  );
}
