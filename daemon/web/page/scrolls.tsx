import type { ComponentChildren } from 'preact';

/** A part that scrolls sideways by itself, reached by keys as well. */
export function Scrolls({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls has to be reached by keys.
    <section class="wide" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}
