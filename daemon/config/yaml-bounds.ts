import { Lexer } from 'yaml';

/** Words and marks of a text that is a config: thousands of stations in it have fewer. */
const MOST_TOKENS = 300_000;
/** Maps and lists that are begun inside one another within a line or within brackets. */
const MOST_DEEP = 60;

/** Tokens that stand for no letter of the text: a document, a plain text, an end of brackets. */
const MARKS_OF_THE_LEXER = new Set(['\u0002', '\u001f', '\u0018']);

/** Why a text is not read as YAML, and where; null: it can be. */
export interface YamlTooMuch {
  offset: number;
  message: string;
}

/**
 * Looks over a text before it is read: reading takes far longer than this look, and of some nestings
 * longer than a person waits.
 */
export function yamlTooMuch(text: string): YamlTooMuch | null {
  let [offset, tokens, inBrackets, onLine] = [0, 0, 0, 0];
  for (const token of new Lexer().lex(text)) {
    tokens += 1;
    if (token === '[' || token === '{') inBrackets += 1;
    else if (token === ']' || token === '}') inBrackets -= 1;
    else if (inBrackets <= 0 && (token === '?' || token === '-' || token === ':')) onLine += 1;
    else if (token.includes('\n')) onLine = 0;
    if (inBrackets > MOST_DEEP || onLine > MOST_DEEP) {
      const message = `lies too deep (got more than ${MOST_DEEP} maps and lists inside one another); write it flatter`;
      return { offset, message };
    }
    if (tokens > MOST_TOKENS) {
      const message = `holds too much (got more than ${MOST_TOKENS} words and marks); keep long lists in a table, by stations_file`;
      return { offset: 0, message };
    }
    if (!MARKS_OF_THE_LEXER.has(token)) offset += token.length;
  }
  return null;
}
