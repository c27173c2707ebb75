import type { Ref } from 'preact';
import { usePage } from './page-context.ts';

/** Who does it: typed once and kept on this device, or taken from the sign-in. */
export function NameField({ field }: { field?: Ref<HTMLInputElement> }) {
  const { who, setWho, signedIn } = usePage();
  if (signedIn) {
    return (
      <p class="signed-in">
        You are signed in as <strong>{who}</strong>.
      </p>
    );
  }
  return (
    <label>
      Your name
      <input
        ref={field ?? null}
        value={who}
        maxLength={60}
        autoComplete="name"
        onInput={(event) => setWho(event.currentTarget.value)}
      />
    </label>
  );
}
