/** Triggers that refuse to change or to take away a row of these tables. */
export function onlyAdded(tables: readonly string[]): string {
  return tables
    .flatMap((table) =>
      ['UPDATE', 'DELETE'].map(
        (verb) => `
  CREATE TRIGGER ${table}_no_${verb.toLowerCase()} BEFORE ${verb} ON ${table}
  BEGIN SELECT RAISE(ABORT, '${table} is only ever added to'); END;`,
      ),
    )
    .join('');
}
