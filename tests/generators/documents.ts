import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { GENERATED, withGeneratedParts } from './generated-parts.ts';

/** Writes the generated parts of the documents anew, as the code has them now. */
for (const path of Object.keys(GENERATED)) {
  const file = fileURLToPath(new URL(`../../${path}`, import.meta.url));
  const document = readFileSync(file, 'utf8');
  const text = await withGeneratedParts(path, document);
  if (text !== document) writeFileSync(file, text);
  process.stdout.write(`${path}: ${text === document ? 'as it was' : 'written'}\n`);
}
