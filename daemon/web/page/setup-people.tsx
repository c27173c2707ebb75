import type { SetupProblem } from '../views/setup-view.ts';
import { SetupField, SetupPart, SetupSelect } from './setup-field.tsx';
import { type PersonTyped, problemsAt } from './setup-state.ts';

/** Who may use the page. A PIN is typed here once; only its hash is kept. */
export function SetupPeople(given: {
  people: readonly PersonTyped[];
  problems: readonly SetupProblem[];
  set(people: PersonTyped[]): void;
}) {
  const { people, problems, set } = given;
  const change = (at: number, part: Partial<PersonTyped>) =>
    set(people.map((one, index) => (index === at ? { ...one, ...part } : one)));
  return (
    <SetupPart title="People">
      <p class="small">
        {people.length === 0
          ? 'Nobody is named: anyone at this machine uses the page by their name. Other machines need people with PINs.'
          : 'Everyone signs in with name and PIN. Leave a PIN empty to keep the one before.'}
      </p>
      {people.map((person, index) => (
        // The place in the list is what stays while a name is typed.
        <fieldset key={index}>
          <legend>{person.name === '' ? `Person ${index + 1}` : person.name}</legend>
          <SetupField
            name="Name"
            value={person.name}
            problems={problemsAt(
              problems,
              `page.people[${person.name}]`,
              `page.people[#${index + 1}]`,
            )}
            set={(name) => change(index, { name })}
          />
          <SetupSelect
            name="May"
            value={person.role}
            choices={[
              { value: 'keeper', words: 'do everything' },
              { value: 'watcher', words: 'look and hold, never confirm' },
            ]}
            set={(role) => change(index, { role: role as PersonTyped['role'] })}
          />
          <SetupField
            name={person.isKnown ? 'New PIN' : 'PIN, six characters or more'}
            kind="password"
            value={person.pin}
            set={(pin) => change(index, { pin })}
          />
          <button
            type="button"
            class="quiet"
            onClick={() => set(people.filter((_, at) => at !== index))}
          >
            Take {person.name === '' ? `person ${index + 1}` : person.name} out
          </button>
        </fieldset>
      ))}
      <button
        type="button"
        onClick={() =>
          set([
            ...people,
            {
              name: '',
              role: people.length === 0 ? 'keeper' : 'watcher',
              pin: '',
              isKnown: false,
            },
          ])
        }
      >
        Add a person
      </button>
    </SetupPart>
  );
}
