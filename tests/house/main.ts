import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { arrowsBack } from './arrows-back.ts';
import { sentencesIn } from './sentences.ts';
import { importsOf, roomArrows, sourceTexts } from './sources.ts';

/**
 * What the house is made of, in figures: files, lines, what has a single caller, which rooms of the
 * daemon import each other, and how many sentences stand outside `daemon/words`.
 */
const WORDS = join('daemon', 'words');

const texts = sourceTexts();
const files = [...texts.keys()];
const linesOf = (name: string) => (texts.get(name) ?? '').split('\n').length - 1;

const callers = new Map<string, Set<string>>();
for (const name of files) {
  for (const used of importsOf(name, texts)) {
    callers.set(used, (callers.get(used) ?? new Set()).add(name));
  }
}
const arrows = roomArrows(texts);
const lengths = files.map(linesOf).sort((a, b) => a - b);
const back = arrowsBack(arrows);
const outside = files
  .filter((name) => !name.startsWith(WORDS))
  .map((name) => ({ name, sentences: sentencesIn(name, texts.get(name) ?? '').length }))
  .filter(({ sentences }) => sentences > 0);
const figures: Record<string, number | string> = {
  'source files': files.length,
  'lines of source': lengths.reduce((sum, one) => sum + one, 0),
  'lines of the median file': lengths[lengths.length >> 1] ?? 0,
  'files over 400 lines': files.filter((name) => linesOf(name) > 400).join(', ') || 0,
  'files with a single caller': [...callers.values()].filter((by) => by.size === 1).length,
  'rooms of the daemon': new Set(arrows.flatMap(({ from, to }) => [from, to])).size,
  'arrows back between them': back.length,
  'sentences outside daemon/words': outside.reduce((sum, one) => sum + one.sentences, 0),
  'files that hold them': outside.length,
};
if (process.argv.includes('--tests')) {
  // The suite takes minutes: its time is measured when it is asked for.
  const startedMs = performance.now();
  const { status } = spawnSync('npm', ['test'], { stdio: 'ignore', shell: true });
  const tookS = Math.round((performance.now() - startedMs) / 1000);
  figures['seconds of npm test'] = `${tookS}${status === 0 ? '' : ', FAILED'}`;
}
for (const [name, value] of Object.entries(figures)) {
  process.stdout.write(`${name.padEnd(34)}${value}\n`);
}
for (const { from, to } of back) process.stdout.write(`  back: ${from} -> ${to}\n`);
