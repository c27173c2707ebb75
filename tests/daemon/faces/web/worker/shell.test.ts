import { describe, expect, it } from 'vitest';
import { isDaemonsAnswer, shellPath } from '../../../../../daemon/faces/web/worker/shell.ts';

const ORIGIN = 'https://greens.example.org';

describe('what the worker answers for', () => {
  it.each([
    ['/', '/'],
    ['/index.html', '/'],
    ['/?from=home-screen', '/'],
    ['/page.js', '/page.js'],
    ['/page.css', '/page.css'],
    ['/icon.svg', '/icon.svg'],
    ['/worker.js', null],
    ['/plan.json', null],
    ['/api/today', null],
    ['/api/events', null],
    ['/api/bed/green-1', null],
    ['/health', null],
    ['//elsewhere.example.org/', null],
  ])('%s: %s', (path, kept) => {
    const url = path.startsWith('//') ? `https:${path}` : `${ORIGIN}${path}`;
    expect(shellPath({ method: 'GET', url }, ORIGIN)).toBe(kept);
    expect(shellPath({ method: 'POST', url }, ORIGIN)).toBeNull();
  });

  it.each([
    [200, true],
    [304, true],
    [403, true],
    [404, true],
    [500, true],
    [502, false],
    [503, false],
    [504, false],
  ])('%i is the daemon’s answer: %s', (status, is) => {
    expect(isDaemonsAnswer(status)).toBe(is);
  });
});
