import { isMap, isScalar, parseDocument, visit } from 'yaml';

/** What stands in a secret's place. */
export const HIDDEN = '(hidden)';

/** Keys whose value is a secret, or may hold one. Names of variables and of files are none. */
const SECRET_KEY =
  /(^|_)(pin|password|passphrase|secret|token|webhook|credentials|authorization|api_?key)$/i;
const ADDRESS = /\b([a-z][a-z0-9+.-]*:\/\/)([^\s/?#"']+)([^\s"']*)/gi;

/**
 * A config's YAML without its secrets: values of secret keys and what follows an address's host are
 * hidden, and comments are left out, since nobody knows what stands in them. Pure.
 */
export function configWithoutSecrets(text: string): string {
  const document = parseDocument(text);
  const noComments = (node: unknown) => {
    const commented = node as { comment?: string | null; commentBefore?: string | null };
    commented.comment = null;
    commented.commentBefore = null;
  };
  noComments(document);
  visit(document, {
    Node: (_, node) => noComments(node),
    Pair(_, pair) {
      if (isScalar(pair.key)) noComments(pair.key);
      if (!isScalar(pair.key) || !SECRET_KEY.test(String(pair.key.value))) return undefined;
      if (isMap(pair.value)) return undefined;
      pair.value = document.createNode(HIDDEN);
      return undefined;
    },
    Scalar(_, node) {
      noComments(node);
      if (typeof node.value === 'string') node.value = withoutAddresses(node.value);
    },
  });
  return document.toString();
}

/** Text in which an address ends with its host: what follows, and who asks, may be secret. Pure. */
export function withoutAddresses(text: string): string {
  return text.replace(ADDRESS, (_, scheme: string, host: string, rest: string) => {
    const bare = host.includes('@') ? host.slice(host.lastIndexOf('@') + 1) : host;
    return `${scheme}${bare}${rest === '' || rest === '/' ? rest : `/${HIDDEN}`}`;
  });
}
