/** A text that stands in a source. */
interface Literal {
  text: string;
  /** What is thrown is for programmers, or is put into words by whoever catches it. */
  isThrown: boolean;
}

const THREE_WORDS = /[a-z’']+ [a-z’']+ [a-z’']+/i;
const QUERY = /^\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|ALTER|VACUUM|WITH|DROP)\b/i;

/** Literals of a source that read like a sentence: three words or more, no query, not thrown. */
export function sentencesIn(name: string, source: string): string[] {
  const shown = name.endsWith('x') ? (bare(source).match(/>[^<>{}=;]+</g) ?? []) : [];
  return [...literalsOf(source).filter(({ isThrown }) => !isThrown), ...shown.map(asLiteral)]
    .map(({ text }) => text)
    .filter((text) => THREE_WORDS.test(text) && !QUERY.test(text));
}

function asLiteral(text: string): Literal {
  return { text, isThrown: false };
}

/** Without comments. */
function bare(source: string): string {
  return source.replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, '');
}

/** Every string and template of a source, in order; what stands within `${}` is code again. */
function literalsOf(source: string): Literal[] {
  const text = bare(source);
  const found: Literal[] = [];
  /** Where each template that is open goes on: how many braces of code are open in it. */
  const templates: { braces: number; text: string; isThrown: boolean }[] = [];
  let isThrown = false;
  let at = 0;
  const template = (begun: string, thrown: boolean) => {
    let own = begun;
    for (; at < text.length; at++) {
      const sign = text[at];
      if (sign === '\\') {
        own += text[++at] ?? '';
      } else if (sign === '`') {
        at += 1;
        found.push({ text: own, isThrown: thrown });
        return;
      } else if (sign === '$' && text[at + 1] === '{') {
        at += 2;
        templates.push({ braces: 0, text: own, isThrown: thrown });
        return;
      } else own += sign;
    }
  };
  while (at < text.length) {
    const sign = text[at] ?? '';
    const open = templates.at(-1);
    if (sign === "'" || sign === '"') {
      const match = new RegExp(`${sign}((?:[^${sign}\\\\\\n]|\\\\.)*)${sign}`, 'y');
      match.lastIndex = at;
      const literal = match.exec(text);
      if (literal !== null) {
        found.push({ text: literal[1] ?? '', isThrown });
        at += literal[0].length;
        continue;
      }
      at += 1;
    } else if (sign === '`') {
      at += 1;
      template('', isThrown);
    } else if (open !== undefined && sign === '}' && open.braces === 0) {
      at += 1;
      templates.pop();
      template(`${open.text} `, open.isThrown);
    } else {
      if (open !== undefined && sign === '{') open.braces += 1;
      if (open !== undefined && sign === '}') open.braces -= 1;
      if (/\bthrow $/.test(text.slice(Math.max(0, at - 6), at))) isThrown = true;
      if (sign === ';' && open === undefined) isThrown = false;
      at += 1;
    }
  }
  return found;
}
