import { useState } from 'preact/hooks';
import type { MeView } from '../views/change-view.ts';
import { signIn } from './api.ts';
import { HoldUnsigned } from './hold-unsigned.tsx';
import { StopByHand } from './stop-by-hand.tsx';
import { device } from './this-device.ts';

/** Name and PIN, where people are named in the config, and a hold for whoever stands here. */
export function SignIn({ me, done }: { me: MeView | null; done(): Promise<void> }) {
  const names = me?.names ?? [];
  const [name, setName] = useState('');
  const [pin, setPin] = useState('');
  const [wrong, setWrong] = useState<string | null>(null);
  const send = async () => {
    const outcome = await signIn(name, pin);
    if (outcome.kind === 'well') {
      setPin('');
      device.signedOut();
      await done();
      return;
    }
    setWrong(outcome.kind === 'away' ? 'The daemon does not answer.' : outcome.error.message);
  };
  return (
    <main class="sign-in">
      <h1>dewbeat</h1>
      <h2>Who are you?</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void send();
        }}
      >
        <label>
          Your name
          <input
            value={name}
            list="names"
            autoComplete="username"
            required
            onInput={(event) => setName(event.currentTarget.value)}
          />
        </label>
        <datalist id="names">
          {names.map((one) => (
            <option key={one} value={one} />
          ))}
        </datalist>
        <label>
          PIN
          <input
            type="password"
            inputMode="numeric"
            autoComplete="current-password"
            required
            value={pin}
            onInput={(event) => setPin(event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="confirm">
          Sign in
        </button>
        <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
      </form>
      {me?.stopByAnyone === true ? <HoldUnsigned /> : null}
      <p class="small">
        Water can be stopped without this page: <StopByHand />
      </p>
    </main>
  );
}
