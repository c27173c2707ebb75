/** Lines that the daemon has put into words; without one, nothing. */
export function Texts({ lines }: { lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <ul class="lines">
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
}
