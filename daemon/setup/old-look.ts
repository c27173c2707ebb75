import { differenceOf } from './line-difference.ts';

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
