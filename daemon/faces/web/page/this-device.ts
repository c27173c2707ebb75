import { useState } from 'preact/hooks';
import { type SignInMark, type Storage, siteCache } from './site-cache.ts';
import { isLanguage, type Language, speak } from './words.ts';

/** What the server wrote into the document: another build of the page has another name. */
const BUILD =
  document.querySelector<HTMLMetaElement>('meta[name="dewbeat-build"]')?.content ?? 'unnamed';

/** Keeps for as long as the page is open, where a browser forbids its storage. */
function inMemory(): Storage {
  const values = new Map<string, string>();
  return {
    getItem: (key) => values.get(key) ?? null,
    setItem: (key, value) => void values.set(key, value),
    removeItem: (key) => void values.delete(key),
  };
}

function ownStorage(): Storage {
  try {
    return localStorage;
  } catch {
    return inMemory();
  }
}

/** A cookie without an end goes when the browser is closed, and the sign-in's own goes with it. */
const cookieMark: SignInMark = {
  isThere: () => document.cookie.split('; ').includes('dewbeat_here=1'),
  set() {
    // biome-ignore lint/suspicious/noDocumentCookie: the other way to it is missing on plain http
    document.cookie = 'dewbeat_here=1; path=/; SameSite=Strict';
  },
};

/** What this device keeps of the site. */
export const device = siteCache(ownStorage(), cookieMark, BUILD);

/**
 * Has the browser keep the page itself, where it can: on this machine and over https. Elsewhere the
 * page works all the same, and only cannot be opened while the daemon is away.
 */
export function keepShell(): void {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) return;
  // After the first view: nothing of it waits for this.
  window.addEventListener('load', () => {
    navigator.serviceWorker
      .register('/worker.js', { updateViaCache: 'none' })
      .catch(() => undefined);
  });
}

const NAME_KEY = 'dewbeat-who';
const LANGUAGE_KEY = 'dewbeat-language';

function kept(key: string): string {
  try {
    return localStorage.getItem(key) ?? '';
  } catch {
    // A browser may forbid keeping anything; it is asked for again then.
    return '';
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // Not kept; it still counts until the page is closed.
  }
}

/** The name under which a person last did something on this device. */
export const rememberedName = () => kept(NAME_KEY);

/** The name and a way to set it; it is kept on this device alone. */
export function useName(signedIn: string | null): [string, (name: string) => void] {
  const [name, setName] = useState(rememberedName);
  const set = (next: string) => {
    setName(next);
    keep(NAME_KEY, next);
  };
  return [signedIn ?? name, set];
}

/** Chosen on this device; else the browser's own where the page speaks it; else English. */
function deviceLanguage(): Language {
  const wanted = [kept(LANGUAGE_KEY), ...navigator.languages];
  return wanted.map((tag) => tag.slice(0, 2)).find(isLanguage) ?? 'en';
}

let drawIn: (language: Language) => void = () => undefined;

/** Draws the page in this device's language, now and anew whenever another one is chosen. */
export function drawInLanguage(draw: (language: Language) => void): void {
  drawIn = (next) => {
    speak(next);
    document.documentElement.lang = next;
    draw(next);
  };
  drawIn(deviceLanguage());
}

/** Chooses the language of this device. */
export function chooseLanguage(next: Language): void {
  keep(LANGUAGE_KEY, next);
  drawIn(next);
}
