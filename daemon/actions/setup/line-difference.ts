/** One line of a difference: kept, taken out or put in. */
interface DifferenceLine {
  kind: 'same' | 'out' | 'in';
  text: string;
}

/** Lines around a change that are shown with it. */
const AROUND = 2;

/** Every line of both texts, in order, by their longest common sequence. */
export function differenceOf(before: string, after: string): DifferenceLine[] {
  const [old, fresh] = [linesOf(before), linesOf(after)];
  let head = 0;
  while (head < old.length && head < fresh.length && old[head] === fresh[head]) head += 1;
  let tail = 0;
  const most = Math.min(old.length, fresh.length) - head;
  while (tail < most && old[old.length - 1 - tail] === fresh[fresh.length - 1 - tail]) tail += 1;
  const same = (text: string): DifferenceLine => ({ kind: 'same', text });
  return [
    ...old.slice(0, head).map(same),
    ...middle(old.slice(head, old.length - tail), fresh.slice(head, fresh.length - tail)),
    ...old.slice(old.length - tail).map(same),
  ];
}

/** The changed lines with a few around them; between them a line of dots. */
export function shownDifference(lines: readonly DifferenceLine[]): string[] {
  const near = lines.map((_, index) =>
    lines
      .slice(Math.max(0, index - AROUND), index + AROUND + 1)
      .some(({ kind }) => kind !== 'same'),
  );
  const marks = { same: ' ', out: '-', in: '+' } as const;
  return lines.flatMap(({ kind, text }, index) => {
    if (near[index]) return [`${marks[kind]} ${text}`.trimEnd()];
    return index === 0 || near[index - 1] ? ['  ...'] : [];
  });
}

function linesOf(text: string): string[] {
  const lines = text.split('\n');
  if (lines.at(-1) === '') lines.pop();
  return lines;
}

/** Lines times lines that are compared; beyond it what changed is told as out and in. */
const MOST_COMPARED = 4_000_000;

function middle(old: readonly string[], fresh: readonly string[]): DifferenceLine[] {
  if (old.length * fresh.length > MOST_COMPARED) {
    const out = old.map((text): DifferenceLine => ({ kind: 'out', text }));
    return [...out, ...fresh.map((text): DifferenceLine => ({ kind: 'in', text }))];
  }
  const width = fresh.length + 1;
  const length = new Uint32Array((old.length + 1) * width);
  const at = (row: number, column: number) => length[row * width + column] ?? 0;
  for (let row = old.length - 1; row >= 0; row -= 1) {
    for (let column = fresh.length - 1; column >= 0; column -= 1) {
      length[row * width + column] =
        old[row] === fresh[column]
          ? at(row + 1, column + 1) + 1
          : Math.max(at(row + 1, column), at(row, column + 1));
    }
  }
  const found: DifferenceLine[] = [];
  let [row, column] = [0, 0];
  while (row < old.length || column < fresh.length) {
    const isSame = row < old.length && column < fresh.length && old[row] === fresh[column];
    if (isSame) {
      found.push({ kind: 'same', text: old[row] ?? '' });
      row += 1;
      column += 1;
    } else if (
      row < old.length &&
      (column === fresh.length || at(row + 1, column) >= at(row, column + 1))
    ) {
      found.push({ kind: 'out', text: old[row] ?? '' });
      row += 1;
    } else {
      found.push({ kind: 'in', text: fresh[column] ?? '' });
      column += 1;
    }
  }
  return found;
}

/** Lines of the old text and the lines that stand for them in the text written again. */
interface Block {
  old: string[];
  /** Positions in the text written again. */
  untouched: number[];
}

/**
 * A text in the look of an old one: where the old text, merely written again (`untouched`), is the
 * same as the new one, the old lines stand; where it is not, the new ones.
 */
export function inOldLook(text: string, from: { oldText: string; untouched: string }): string {
  const change = changeOf(from.untouched, text);
  const lines = blocksOf(from.oldText, from.untouched).flatMap(({ old, untouched }) => {
    const [first] = untouched;
    if (first === undefined) return old;
    const isSame = untouched.every(
      (at) => change.kept[at] === true && (at === first || change.before(at).length === 0),
    );
    if (isSame) return [...change.before(first), ...old];
    return untouched.flatMap((at) => [
      ...change.before(at),
      ...(change.kept[at] === true ? [change.lineAt(at)] : []),
    ]);
  });
  return `${[...lines, ...change.before(change.kept.length)].join('\n')}\n`;
}

/** Which lines of a text are kept in another, and what is put in before each of them. */
function changeOf(untouched: string, text: string) {
  const kept: boolean[] = [];
  const lines: string[] = [];
  const putIn = new Map<number, string[]>();
  for (const { kind, text: line } of differenceOf(untouched, text)) {
    if (kind === 'in') {
      putIn.set(kept.length, [...(putIn.get(kept.length) ?? []), line]);
    } else {
      kept.push(kind === 'same');
      lines.push(line);
    }
  }
  return {
    kept,
    before: (at: number) => putIn.get(at) ?? [],
    lineAt: (at: number) => lines[at] ?? '',
  };
}

/** Both texts side by side; white space does not count. */
function blocksOf(oldText: string, untouched: string): Block[] {
  const bare = (text: string) => text.replace(/[^\S\n]+/g, '');
  const old = oldText.split('\n');
  const blocks: Block[] = [];
  let open: Block | null = null;
  let [oldAt, at] = [0, 0];
  for (const { kind } of differenceOf(bare(oldText), bare(untouched))) {
    if (kind === 'same' || open === null) {
      open = { old: [], untouched: [] };
      blocks.push(open);
    }
    if (kind !== 'in') {
      open.old.push(old[oldAt] ?? '');
      oldAt += 1;
    }
    if (kind !== 'out') {
      open.untouched.push(at);
      at += 1;
    }
    if (kind === 'same') open = null;
  }
  return blocks;
}
