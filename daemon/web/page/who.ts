import { useState } from 'preact/hooks';

const KEY = 'dewbeat-who';

/** The name under which a person last did something on this device. */
export function rememberedName(): string {
  try {
    return localStorage.getItem(KEY) ?? '';
  } catch {
    // A browser may forbid keeping anything; the name is asked for again then.
    return '';
  }
}

/** The name and a way to set it; it is kept on this device alone. */
export function useName(signedIn: string | null): [string, (name: string) => void] {
  const [name, setName] = useState(rememberedName);
  const keep = (next: string) => {
    setName(next);
    try {
      localStorage.setItem(KEY, next);
    } catch {
      // Not kept; it still counts until the page is closed.
    }
  };
  return [signedIn ?? name, keep];
}
