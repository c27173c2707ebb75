/** Lines that the daemon has put into words. */
export function Texts({ lines }: { lines: readonly string[] }) {
  return (
    <ul class="lines">
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
}
