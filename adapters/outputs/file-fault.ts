import type { Answer } from '../contract.ts';
import { ReplaceFault } from './replace-files.ts';

interface Words {
  kind: 'rejected' | 'unknown';
  wrong: string;
  remedy: string;
}

/** Faults that stay until a person changes something are refusals; the others are tried again. */
const WORDS: Record<string, Words> = {
  EACCES: {
    kind: 'rejected',
    wrong: 'no permission to write',
    remedy: 'let the daemon write there',
  },
  EPERM: {
    kind: 'rejected',
    wrong: 'no permission to write',
    remedy: 'let the daemon write there',
  },
  EROFS: { kind: 'rejected', wrong: 'the folder is read-only', remedy: 'choose one that is not' },
  ENOTDIR: { kind: 'rejected', wrong: 'a file stands in the path', remedy: 'name a folder' },
  EEXIST: { kind: 'rejected', wrong: 'a file stands in the path', remedy: 'name a folder' },
  EISDIR: {
    kind: 'rejected',
    wrong: 'a folder has the name of a plan file',
    remedy: 'move it away',
  },
  ENAMETOOLONG: { kind: 'rejected', wrong: 'the path is too long', remedy: 'shorten it' },
  OVERTAKEN: { kind: 'rejected', wrong: 'a hold came first', remedy: 'confirm a fresh plan' },
  ENOSPC: { kind: 'unknown', wrong: 'the disk is full', remedy: 'free some space' },
  EDQUOT: { kind: 'unknown', wrong: 'the quota is used up', remedy: 'free some space' },
};
const OTHER: Words = { kind: 'unknown', wrong: 'the write failed', remedy: 'look at the disk' };

/** Puts a fault of a file write into an answer; once a file was replaced nobody can say any more. */
export function fileFault({ where, error }: { where: string; error: unknown }): Answer {
  const fault = error instanceof ReplaceFault ? error : new ReplaceFault(error, []);
  const { kind, wrong, remedy } = WORDS[fault.code] ?? OTHER;
  const partly = fault.replaced.length > 0;
  const state = partly
    ? `${fault.replaced.join(' and ')} already changed`
    : 'the files there are unchanged';
  return {
    kind: partly ? 'unknown' : kind,
    detail: `${where}: ${wrong} (got ${fault.code}); ${remedy}: ${state}`,
  };
}
