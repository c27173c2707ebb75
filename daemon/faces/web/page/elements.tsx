import type { ComponentChildren, RefObject } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';

/** A heading that takes the focus when it appears, so that what was just done is read out. */
export function FocusedHeading({ children }: { children: ComponentChildren }) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  return (
    <h2 ref={heading} tabIndex={-1}>
      {children}
    </h2>
  );
}

/** A part that scrolls sideways by itself, reached by keys as well. */
export function ScrollRegion({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls has to be reached by keys.
    <section class="wide" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}

/** Lines that the daemon has put into words; without one, nothing. */
export function TextLines({ lines }: { lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <ul class="lines">
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
}

/** Width of a part in CSS pixels, followed as it changes; pictures are drawn to it. */
export function useWidth<T extends HTMLElement>(): [RefObject<T | null>, number] {
  const ref = useRef<T>(null);
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return;
    const measure = () => setWidth(Math.floor(element.clientWidth));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, width];
}
