import { parseArgs } from 'node:util';
import { checkedSites, sayChecked } from './checked-sites.ts';

const { values } = parseArgs({
  options: {
    sites: { type: 'string', default: '40' },
    seed: { type: 'string', default: '1' },
    /** Every finding with its site, bed and hour. */
    all: { type: 'boolean', default: false },
  },
});

const say = (line: string) => process.stdout.write(`${line}\n`);
const checked = checkedSites({
  sites: Number(values.sites),
  seed: Number(values.seed),
  tell: values.all ? say : () => {},
});
for (const line of sayChecked(checked)) say(line);
if (checked.breaches.size > 0 || checked.avoidableMin > 0 || checked.falseClaims.size > 0) {
  process.exitCode = 1;
}
