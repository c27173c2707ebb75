import { describe, expect, it } from 'vitest';
import { daemonLog } from '../../daemon/service/log.ts';

const SECRET = 'invented-secret';

describe('daemonLog', () => {
  it('hides what stands under the name of a secret, and shows the rest', () => {
    const lines: string[] = [];
    const log = daemonLog({
      level: 'info',
      forPerson: false,
      to: { write: (line) => void lines.push(line) },
    });
    log.info({ password: SECRET, user: 'keeper' }, 'top');
    log.info({ options: { password: SECRET, host: 'broker' } }, 'one below');
    log.info({ client: { options: { token: SECRET, authorization: SECRET } } }, 'two below');
    log.error({ err: Object.assign(new Error('refused'), { options: { pin: SECRET } }) }, 'error');
    const text = lines.join('');
    expect(text).not.toContain(SECRET);
    for (const shown of ['keeper', 'broker', '(hidden)', 'refused']) expect(text).toContain(shown);
    for (const line of lines) expect(JSON.parse(line)).toHaveProperty('msg');
  });
});
