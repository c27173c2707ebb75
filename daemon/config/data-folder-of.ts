import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { isMap, readText } from './read-text.ts';
import { dataFolderSchema } from './site-schema.ts';
import { readYaml } from './yaml-source.ts';

/** The data folder that a config names, even when the rest of it is wrong; null when it is not there. */
export function dataFolderOf(path: string): string | null {
  const text = readText(path);
  if (!text.ok) return null;
  const { raw } = readYaml(text.text, path);
  const { data_folder: named } = isMap(raw) ? raw : {};
  const found = dataFolderSchema.safeParse(named);
  if (!found.success) return null;
  const folder = resolve(dirname(resolve(path)), found.data);
  return existsSync(folder) ? folder : null;
}
