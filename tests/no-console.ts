import { afterEach, beforeEach, expect, vi } from 'vitest';

const methods = ['log', 'info', 'warn', 'error', 'debug'] as const;

beforeEach(() => {
  for (const method of methods) vi.spyOn(console, method);
});

afterEach(() => {
  for (const method of methods) {
    const calls = vi.mocked(console[method]).mock.calls;
    vi.mocked(console[method]).mockRestore();
    expect(calls, `console.${method} was called in a test`).toEqual([]);
  }
});
