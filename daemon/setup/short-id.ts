/** An id from a name as people say it: "Green 1 (north)" -> "green-1-north". */
export function shortId(name: string): string {
  const id = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40);
  return id.replace(/-+$/, '');
}
