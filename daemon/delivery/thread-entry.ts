/** The file of a thread or process beside a module: as it was built, or as it is written. */
export function entryBeside(moduleUrl: string, name: string): URL {
  return new URL(`./${name}${isWritten(moduleUrl) ? '.ts' : '.js'}`, moduleUrl);
}

/** What node needs to run such a file: nothing for what was built. */
export function loaderFor(moduleUrl: string): string[] {
  return isWritten(moduleUrl) ? ['--import', 'tsx'] : [];
}

/** Whether a module runs as it is written, as in tests. */
export function isWritten(moduleUrl: string): boolean {
  return moduleUrl.endsWith('.ts');
}
