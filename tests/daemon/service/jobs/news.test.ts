import { describe, expect, it } from 'vitest';
import type { Alert, Answer, Output } from '../../../../adapters/contract.ts';
import { alertsJob } from '../../../../daemon/service/jobs/output-jobs.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { nextAlert, type OpenAlert } from '../../../../daemon/site/store/alerts.ts';
import { jobRig } from '../../job-rig.ts';

const MIN_MS = 60_000;

function listeningSite(answer: () => Promise<Answer>) {
  const rig = jobRig();
  const heard: Alert[] = [];
  const output = {
    name: 'ear',
    tell: (news: Alert) => {
      heard.push(news);
      return answer();
    },
  } as unknown as Output;
  const job = alertsJob({ ...rig.parts, outputs: new Map([['ear', output]]) });
  return { ...rig, heard, job };
}

const answers = (kind: Answer['kind']) => async (): Promise<Answer> => ({ kind, detail: 'said' });

describe('the news job', () => {
  it('tells of the morning plan once', async () => {
    const site = listeningSite(answers('accepted'));
    await morningJob(site.parts).work();
    for (let round = 0; round < 12; round++) await site.job.work();
    const plans = site.heard.filter((news) => news.kind === 'morning_plan');
    expect(plans).toHaveLength(1);
    expect(plans[0]).toMatchObject({ siteId: 'example-site', siteDay: '2026-07-01', revision: 1 });
    expect(plans[0]?.text).toMatch(
      /^The morning plan of 2026-07-01 waits for a person: \d+ cycles on 3 beds/,
    );
    expect(new Set(site.heard.map((news) => news.newsId)).size).toBe(site.heard.length);
  });

  it('tries five times, then gives up and says so', async () => {
    const site = listeningSite(answers('unknown'));
    await morningJob(site.parts).work();
    const told = () => site.heard.filter((news) => news.kind === 'morning_plan').length;
    for (let minutes = 1; minutes < 50; minutes++) {
      site.goTo(minutes);
      await site.job.work();
    }
    expect(told()).toBe(5);
    expect(site.steps('news_failed')[0]?.what).toContain('ear did not take "The morning plan');
  });

  it('does not try again what was refused for good', async () => {
    const site = listeningSite(answers('rejected'));
    await morningJob(site.parts).work();
    for (let minutes = 1; minutes < 50; minutes++) {
      site.goTo(minutes);
      await site.job.work();
    }
    expect(site.heard.filter((news) => news.kind === 'morning_plan')).toHaveLength(1);
  });

  it('waits for no listener', async () => {
    const site = listeningSite(() => new Promise(() => undefined));
    await morningJob(site.parts).work();
    const began = performance.now();
    await site.job.work();
    await site.job.work();
    expect(performance.now() - began).toBeLessThan(2_000);
    expect(site.heard).toHaveLength(1);
  });
});

describe('nextNews', () => {
  const news = (change: Partial<OpenAlert>): OpenAlert => ({
    newsId: 1,
    key: 'k',
    atMs: 0,
    kind: 'plan_held',
    text: '',
    siteDay: '2026-07-01',
    revision: null,
    digest: null,
    tries: 0,
    lastTryMs: null,
    ...change,
  });
  it.each([
    ['none', [], 0, null],
    ['never tried', [news({})], 0, 1],
    ['within its wait', [news({ tries: 1, lastTryMs: 0 })], 4_999, null],
    ['after its wait', [news({ tries: 1, lastTryMs: 0 })], 5_000, 1],
    ['a longer wait after the third', [news({ tries: 3, lastTryMs: 0 })], 19_999, null],
    ['tries used up', [news({ tries: 5, lastTryMs: 0 })], 50 * MIN_MS, null],
    ['an hour old', [news({})], 61 * MIN_MS, null],
    ['the clock stepped back', [news({ tries: 4, lastTryMs: 10_000 })], 0, 1],
    ['one waits, the next does not', [news({ tries: 1, lastTryMs: 0 }), news({ newsId: 2 })], 0, 2],
  ] as const)('%s', (_, open, nowMs, newsId) => {
    expect(nextAlert(open, nowMs)?.newsId ?? null).toBe(newsId);
  });
});
