import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';

/** A heading that takes the focus when it appears, so that what was just done is read out. */
export function ArrivedHeading({ children }: { children: ComponentChildren }) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  return (
    <h2 ref={heading} tabIndex={-1}>
      {children}
    </h2>
  );
}
