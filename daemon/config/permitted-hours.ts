import type { KeepOffRule } from './keep-offs.ts';
import type { PermittedConfig } from './limits-schema.ts';

const DAY_MIN = 24 * 60;

/** Keep-offs on all beds over the hours in which water is not permitted; none when all are. */
export function hoursNotPermitted(
  permitted: readonly PermittedConfig[],
  bedIds: readonly string[],
): KeepOffRule[] {
  if (permitted.length === 0) return [];
  const isPermitted = new Array<boolean>(DAY_MIN).fill(false);
  for (const { from, to } of permitted) {
    const length = (minuteOf(to) - minuteOf(from) + DAY_MIN) % DAY_MIN;
    for (let minute = 0; minute < length; minute++) {
      isPermitted[(minuteOf(from) + minute) % DAY_MIN] = true;
    }
  }
  const turns = isPermitted.flatMap((is, minute) =>
    is !== isPermitted[(minute + DAY_MIN - 1) % DAY_MIN] ? [{ is, minute }] : [],
  );
  return turns.flatMap(({ is, minute }, at): KeepOffRule[] => {
    const next = turns[(at + 1) % turns.length];
    if (is || next === undefined) return [];
    const bound = (of: number) => ({
      kind: 'daily' as const,
      hour: Math.floor(of / 60),
      minute: of % 60,
    });
    return [
      {
        bedIds: [...bedIds],
        from: bound(minute),
        to: bound(next.minute),
        why: '',
        kind: 'permit',
        weekdays: null,
      },
    ];
  });
}

function minuteOf(text: string): number {
  const [hour = 0, minute = 0] = text.split(':').map(Number);
  return hour * 60 + minute;
}
